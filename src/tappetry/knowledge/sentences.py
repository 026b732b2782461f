"""Sentences with values in them: ``differs {rod_difference_in:3} in from the computed length``."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from tappetry.knowledge.language import Expression, compile_expression
from tappetry.records.problems import BadInput, Where

_BLANK = re.compile(r"\{([^{}]*)\}")
_DIGITS = re.compile(r"(.*):([0-6])", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Blank:
    """A place in a sentence that a value fills; ``digits`` after the point, as many as it has where None."""

    expression: Expression
    digits: int | None = None


@dataclass(frozen=True, slots=True)
class Sentence:
    """The words around the blanks: always one piece more than there are blanks."""

    words: tuple[str, ...]
    blanks: tuple[Blank, ...]

    def filled(self, texts: Iterable[str]) -> str:
        """The sentence with a text in each of its blanks."""
        pieces = [self.words[0]]
        for text, after in zip(texts, self.words[1:], strict=True):
            pieces += [text, after]
        return "".join(pieces)


def compile_sentence(text: str, where: Where) -> Sentence:
    """Read a sentence; what stands in braces is an expression, and ``:3`` behind it asks for three digits.

    Raises
    ------
    BadInput
        A brace that is not closed, or an expression that cannot be read.
    """
    words = _BLANK.split(text)
    around, inside = words[::2], words[1::2]
    if any(brace in word for word in around for brace in "{}"):
        raise BadInput.at(where, "a brace stands alone", text, "each value in a pair of braces")
    return Sentence(tuple(around), tuple(_blank(each, where) for each in inside))


def _blank(text: str, where: Where) -> Blank:
    digits = _DIGITS.fullmatch(text)
    if digits is None:
        return Blank(compile_expression(text, where))
    return Blank(compile_expression(digits.group(1), where), int(digits.group(2)))
