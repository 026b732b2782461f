"""Finds rows of a catalogue by pieces of words, at the speed of typing."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from heapq import merge
from itertools import accumulate, groupby

from tappetry.catalogue.identity import normal
from tappetry.records.part import Part


class WordIndex:
    """Parts by what is said of them: description, supplier, titles of the needs they fill; and by number.

    All of it is one string, a line for each part: looking through one long string is many times quicker than
    through many. What is said stands there in small letters, numbers in capitals.

    Parameters
    ----------
    parts : sequence of Part
    titles : mapping of str to str
        The title of each need.
    """

    def __init__(self, parts: Sequence[Part], titles: Mapping[str, str]) -> None:
        lines = [_line(part, titles) for part in parts]
        self._parts = parts
        self._text = "".join(lines)
        self._starts = [0, *accumulate(map(len, lines))]
        self._by_need: dict[str, list[int]] = {}
        for number, part in enumerate(parts):
            for fill in part.fills:
                self._by_need.setdefault(fill.need, []).append(number)

    def find(self, words: Sequence[str], need: str = "") -> Iterator[Part]:
        """The parts that hold every one of some words, and fill a need, in the order of the catalogue.

        A word may be a piece of what is said, however it is written, or of the number, however that is
        punctuated.
        """
        words = sorted(words, key=len, reverse=True)  # the longest is held by few
        pieces = [_pieces(word) for word in words]
        lines: Iterable[int] = range(len(self._parts))
        if need:
            lines = self._by_need.get(need, ())
        elif pieces:
            lines = self._lines_with(pieces.pop(0))
        for number in lines:
            line = self._text[self._starts[number] : self._starts[number + 1]]
            if all(any(piece in line for piece in either) for either in pieces):
                yield self._parts[number]

    def _lines_with(self, either: Iterable[str]) -> Iterator[int]:
        """The numbers of the lines that hold one of some pieces, in their order."""
        for number, _ in groupby(merge(*(self._lines_with_piece(piece) for piece in either))):
            yield number

    def _lines_with_piece(self, piece: str) -> Iterator[int]:
        at = self._text.find(piece)
        while at >= 0:
            number = bisect_right(self._starts, at) - 1
            yield number
            at = self._text.find(piece, self._starts[number + 1])


def _pieces(word: str) -> set[str]:
    """A word as it may be said, and as it may stand in a number."""
    return {word.lower(), normal(word)} - {""}


def _line(part: Part, titles: Mapping[str, str]) -> str:
    """All that a part is found by, on one line; no piece of a word spans two fields."""
    fields = [part.description, part.supplier, *(titles.get(fill.need, fill.need) for fill in part.fills)]
    said = [" ".join(field.lower().split()) for field in fields]
    return "\x1f".join([*said, normal(part.number)]) + "\n"
