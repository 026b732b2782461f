"""The published schemas of a shop's text files, for editors and scripts."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Any

from tappetry.knowledge import schema as published
from tappetry.records.problems import BadInput, Where


def schema_names() -> tuple[str, ...]:
    """The kinds of text file that have a schema."""
    return published.names()


def schema(name: str) -> dict[str, Any]:
    """One schema (JSON Schema, draft 2020-12).

    Raises
    ------
    BadInput
        There is no such schema; the closest is named.
    """
    names = published.names()
    if name not in names:
        close = get_close_matches(name, names, 1)
        hint = f"; did you mean {close[0]}?" if close else ""
        raise BadInput.at(
            Where(field="schema"), f"there is no such schema{hint}", name, "one of " + ", ".join(names)
        )
    return published.schema(name)
