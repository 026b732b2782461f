"""What differs between two versions of plain data, field by field."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Field:
    """One field that differs: its name, what it said, and what it says; empty where it is not there."""

    name: str
    old: str
    new: str

    def __str__(self) -> str:
        """The field in one phrase."""
        return f"{self.name}: {self.old or NOTHING} became {self.new or NOTHING}"


def differing(old: Mapping[str, Any], new: Mapping[str, Any], within: str = "") -> Iterator[Field]:
    """The fields that differ, those of mappings by their full name: ``facts.mileage.value``."""
    for key in dict.fromkeys((*old, *new)):
        name = f"{within}{key}"
        before, after = old.get(key), new.get(key)
        if before == after and (key in old) == (key in new):
            continue
        if isinstance(before, Mapping) and isinstance(after, Mapping):
            yield from differing(before, after, f"{name}.")
        else:
            yield Field(name, _shown(before), _shown(after))


def _shown(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping) and "value" in value:
        return ", ".join(str(part) for part in value.values())
    if isinstance(value, list) and value:
        return "; ".join(map(_shown, value))
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
