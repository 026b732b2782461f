"""Sentences of a shop's text, with the values of this engine and these parts in their blanks."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tappetry.assembly.values import Slots, Values
from tappetry.knowledge.language import Unknown
from tappetry.knowledge.sentences import Blank, Sentence

NOT_KNOWN = "not known"


def tell(values: Values, sentence: Sentence, slots: Slots, item: Mapping[str, Any] | None = None) -> str:
    """The sentence in words; a value that nobody has stated is told as not known."""
    return sentence.filled(_text(values, blank, slots, item) for blank in sentence.blanks)


def _text(values: Values, blank: Blank, slots: Slots, item: Mapping[str, Any] | None) -> str:
    try:
        value = (
            values.evaluate(blank.expression, slots)
            if item is None
            else values.of_item(blank.expression, slots, item)
        )
    except Unknown:
        return NOT_KNOWN
    return show(value, blank.digits)


def show(value: Any, digits: int | None = None) -> str:
    """A value as a person reads it: yes or no, a number without idle zeros, a list with commas."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.4f}".rstrip("0").rstrip(".") if digits is None else f"{value:.{digits}f}"
    if isinstance(value, list | tuple):
        return ", ".join(map(str, value))
    return str(value)
