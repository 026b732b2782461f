"""Adds a difference to a kit, entry by entry, as somebody would who knows nothing of how it was found."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from tappetry.records.kit import Kit
from tappetry.services.differences import Difference

#: The entries of a kit, each list with what tells its entries apart.
ENTRIES: dict[str, Callable[[Any], Any]] = {
    "lines": lambda line: (line.supplier, line.part),
    "kept": lambda kept: (kept.need, kept.slot),
    "declined": lambda declined: (declined.need, declined.offer, declined.by),
    "left_over": lambda left: (left.part, left.item),
    "operations": lambda operation: operation.code,
    "proofs": lambda proof: proof.id,
    "findings": lambda finding: finding.id,
    "unknowns": lambda unknown: unknown.attribute,
    "cautions": lambda caution: caution,
}


def entries(kit: Kit) -> dict[str, dict[Any, Any]]:
    """Everything that stands in a kit, by what tells it apart."""
    return {name: by_key(getattr(kit, name), key) for name, key in ENTRIES.items()}


def by_key(listed: Iterable[Any], key: Callable[[Any], Any]) -> dict[Any, Any]:
    found = {}
    for entry in listed:
        assert key(entry) not in found, f"{key(entry)} stands twice"
        found[key(entry)] = entry
    return found


def added(kit: Kit, difference: Difference) -> dict[str, dict[Any, Any]]:
    """The entries of a kit with a difference added: what goes must have been there, what comes must not."""
    patched = entries(kit)
    for name, key in ENTRIES.items():
        for change in getattr(difference, name):
            if change.old is not None:
                assert patched[name].pop(key(change.old)) == change.old
            if change.new is not None:
                assert key(change.new) not in patched[name]
                patched[name][key(change.new)] = change.new
    return patched
