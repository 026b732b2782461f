"""Finds rows of a catalogue by pieces of words, at the speed of typing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from tappetry.catalogue.identity import normal
from tappetry.records.part import Part

if TYPE_CHECKING:
    import numpy as np

    Held = np.ndarray[Any, np.dtype[np.bool_]]
    """Whether each part, or each text, is meant."""

BETWEEN = "\n"


class WordIndex:
    """Parts by what is said of them: description, supplier, titles of the needs they fill; and by number.

    A piece of a word is looked for in the different words that are said of any part, which are few, and in
    the numbers of all parts, which stand one behind the other as one array of bytes.

    Parameters
    ----------
    parts : sequence of Part
    titles : mapping of str to str
        The title of each need.
    """

    def __init__(self, parts: Sequence[Part], titles: Mapping[str, str]) -> None:
        import numpy as np

        texts: dict[frozenset[str], int] = {}
        said = [texts.setdefault(_words(part, titles), len(texts)) for part in parts]
        holders: dict[str, list[int]] = {}
        for words, text in texts.items():
            for word in words:
                holders.setdefault(word, []).append(text)
        by_need: dict[str, list[int]] = {}
        for place, part in enumerate(parts):
            for fill in part.fills:
                by_need.setdefault(fill.need, []).append(place)
        numbers = [f"{normal(part.number)}{BETWEEN}".encode() for part in parts]
        self._parts = parts
        self._said = np.array(said, dtype=np.int64)
        self._texts = len(texts)
        self._holders = {word: np.array(found) for word, found in holders.items()}
        self._by_need = {need: np.array(found) for need, found in by_need.items()}
        self._numbers = np.frombuffer(b"".join(numbers), dtype=np.uint8)
        self._ends = np.cumsum([len(number) for number in numbers])

    def find(self, words: Sequence[str], need: str = "") -> Iterator[Part]:
        """The parts that hold every one of some words, and fill a need, in the order of the catalogue.

        A word may be a piece of what is said, however it is written, or of the number, however that is
        punctuated.
        """
        import numpy as np

        held = np.full(len(self._parts), not need)
        if need in self._by_need:
            held[self._by_need[need]] = True
        for word in words:
            held &= self._holding(word)
        for place in np.flatnonzero(held).tolist():
            yield self._parts[place]

    def _holding(self, word: str) -> Held:
        """Which parts hold a piece of a word."""
        import numpy as np

        piece = word.lower()
        texts = np.zeros(self._texts, dtype=np.bool_)
        for said, holders in self._holders.items():
            if piece in said:
                texts[holders] = True
        held: Held = texts[self._said]
        number = normal(word).encode()
        if number:
            at = np.flatnonzero(self._numbers == number[0])
            for behind, sign in enumerate(number[1:], 1):
                at = at[at + behind < len(self._numbers)]
                at = at[self._numbers[at + behind] == sign]
            held[np.searchsorted(self._ends, at, side="right")] = True
        return held


def _words(part: Part, titles: Mapping[str, str]) -> frozenset[str]:
    """The words that are said of a part, in small letters."""
    fields: Iterable[str] = (
        part.description,
        part.supplier,
        *(titles.get(fill.need, fill.need) for fill in part.fills),
    )
    return frozenset(word for field in fields for word in field.lower().split())
