"""A customer's data for him to read, and the paper that takes the place of papers whose customer left."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from tappetry.presentation import render, words
from tappetry.presentation.papers import letterhead
from tappetry.services.shop import Shop

#: A longer text without a space is a file; it is told by its length.
_FILE = 1000


def as_text(data: Mapping[str, Any]) -> str:
    """Plain data as lines that a person reads: each field on its own, what is within it further in."""
    return "\n".join(_lines(data, 0)) + "\n"


def _lines(value: Any, depth: int) -> Iterator[str]:
    indent = "  " * depth
    pairs = value.items() if isinstance(value, Mapping) else enumerate(value, 1)
    for name, each in pairs:
        title = str(name).replace("_", " ")
        if isinstance(each, Mapping | list):
            if each:
                yield f"{indent}{title}:"
                yield from _lines(each, depth + 1)
        elif each not in (None, ""):
            yield f"{indent}{title}: {_shown(each)}"


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = str(value)
    if len(text) > _FILE and " " not in text:
        return f"a file of {len(text) * 3 // 4} bytes, which is whole in the JSON"
    return text.replace("\n", " / ")


def removed_pdf(shop: Shop, mark: str, on: date) -> bytes:
    """The paper that takes the place of one that was removed."""
    head = letterhead(shop)
    data = {
        "shop": head.data(),
        "mark": mark,
        "date": words.day(on),
        "knowledge_version": "",
        "catalogue_version": "",
    }
    return render.pdf("removed", data, on, head.paper)
