"""What the shop pays and earns, left out of plain data for those who may not see it.

It is known by the fields in which it stands, never by words in a text: what a person wrote stays as it is.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tappetry.records.kit import BY_LANDED_COST

#: The fields that say what the shop pays, or what it earns.
FIELDS = frozenset(
    {
        "cost",
        "unit_cost",
        "parts_cost",
        "landed",
        "landed_cost",
        "old_cost",
        "new_cost",
        "margin_percent",
        "markup_percent",
    }
)


def without_shops_side(value: Any) -> Any:
    """Plain data without what the shop pays or earns.

    Left out are the ``FIELDS``, and the ranking by what it pays; ways out of a refusal are told by what the
    customer pays.
    """
    if isinstance(value, Mapping):
        kept = {key: without_shops_side(each) for key, each in value.items() if key not in FIELDS}
        return {**kept, "ways_out": _ways_out(value)} if "tried" in value and "ways_out" in value else kept
    if isinstance(value, list | tuple):
        return [without_shops_side(each) for each in value if not _is_ranking_by_cost(each)]
    return value


def _is_ranking_by_cost(value: Any) -> bool:
    return (
        isinstance(value, Mapping)
        and set(value) == {"name", "value", "proved"}
        and (value["name"] == BY_LANDED_COST)
    )


def _ways_out(refusal: Mapping[str, Any]) -> list[str]:
    """The ways out of a refusal: those that were tried as they are told to a customer, then other advice."""
    tried = refusal["tried"]
    return [*(way["told"] for way in tried), *refusal["ways_out"][len(tried) :]]
