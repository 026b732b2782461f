"""The finished kit laid out on the bench: every place in the engine, and what stands there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from tappetry.assembly.roots import plain
from tappetry.assembly.values import Values
from tappetry.catalogue.catalogue import Catalogue
from tappetry.knowledge.language import Expression
from tappetry.knowledge.model import Knowledge, Need, Slot
from tappetry.records.evidence import Value
from tappetry.records.kit import Kept, Kit, Line
from tappetry.records.part import Part
from tappetry.records.plan import OwnPart, Plan

View = Mapping[str, Any]

OWN = "customer's own"
#: What stands there by another hand than a line of this kit; new when it meets a renewal.
STAND_INS = frozenset({"shop stock", "by hand", "outside service"})


@dataclass(frozen=True, slots=True)
class Supply:
    """What one line really gives to one place: the part behind it, and its pieces by the price list."""

    line: Line
    part: Part
    pieces: int


@dataclass(frozen=True, slots=True)
class Place:
    """One slot of one need: the lines that claim to fill it, and what is written down in their stead."""

    need: Need
    slot: Slot
    supplies: tuple[Supply, ...]
    kept: tuple[Kept, ...]

    @property
    def name(self) -> str:
        """The need, and the slot where it has several."""
        return f"{self.need.id}/{self.slot.id}" if self.slot.id else self.need.id

    @property
    def is_one_size(self) -> bool:
        """Whether the need has a place for each size, and this is one of them."""
        return self.need.one_of_each is not None and bool(self.slot.id)

    def takes(self, part: Part) -> bool:
        """Whether a part has the size of this place, where the need has a place for each size."""
        each = self.need.one_of_each
        if each is None or not self.is_one_size:
            return True
        return written(part.attributes_for(self.need.id).get(each.attribute, "")) == self.slot.id

    @property
    def state(self) -> str:
        """How the need is met: by a line (``new``), as the kept entry says, or not at all (``none``)."""
        if self.supplies:
            return "new"
        return self.kept[0].state if self.kept else "none"

    @property
    def is_renewed_by_part(self) -> bool:
        """Whether a part that is new to this engine stands here: bought, or brought by the customer."""
        return self.state in {"new", OWN}


@dataclass(frozen=True, slots=True)
class Layout:
    """The kit as it stands in the engine, with all that is needed to judge it."""

    kit: Kit
    fixed: Mapping[str, Any]
    plan: Plan
    knowledge: Knowledge
    catalogue: Catalogue
    values: Values
    today: date | None
    parts: Mapping[tuple[str, str], Part]
    places: tuple[Place, ...] = ()
    views: Mapping[str, View] = field(default_factory=dict)
    #: What could stand in each place, by need and slot: worked out once.
    answers: dict[tuple[str, str], Any] = field(default_factory=dict)
    #: What the engine is in each attribute that price lists ask for: worked out once.
    facts: dict[str, frozenset[str]] = field(default_factory=dict)
    #: The places that each place hangs on, directly or through others: worked out once.
    hangs_on: dict[str, frozenset[str]] = field(default_factory=dict)

    def renewal(self, need: Need) -> Expression:
        """When a need is renewed: as the package says, else as the need says."""
        package = self.knowledge.book.packages[self.plan.package or self.knowledge.book.default_package]
        return package.renew.get(need.id, need.renew)

    def own_part(self, need: Need) -> OwnPart | None:
        """The part that the customer brings for a need."""
        return next((own for own in self.plan.own_parts if own.need == need.id), None)

    def part_of(self, line: Line) -> Part | None:
        """The row of the price list that a line was taken from."""
        return self.parts.get((line.supplier, line.part))

    def signed(self, rule: str) -> bool:
        """Whether the owner has put a reason in writing."""
        return rule in self.fixed["job"].get("signed", {})


# ---- what conditions see ---------------------------------------------------------------------------------


def part_view(knowledge: Knowledge, part: Part, need: Need) -> dict[str, Any]:
    """What conditions see of a new part in the place of a need.

    Its attributes, what the shop's tables know by them, its core charge, and what lies in its box where the
    box serves this need alone.
    """
    attributes = technical(knowledge, part, need)
    view: dict[str, Any] = {}
    for name in knowledge.tables.keys() & attributes.keys():
        row = knowledge.tables[name].get(written(attributes[name]), {})
        view.update({key: plain(value) for key, value in row.items()})
    view.update({name: plain(value) for name, value in attributes.items()})
    view["core_billed"] = part.core_charge > 0
    if part.contents and len(part.fills) == 1:
        view["contents"] = contents(part)
    return standing_view("new", view, f"{part.supplier}/{part.number}", renewed=True)


def technical(knowledge: Knowledge, part: Part, need: Need) -> dict[str, Value]:
    """The attributes that a part shows to a need, without those that only speak of its sale."""
    return {
        name: value
        for name, value in part.attributes_for(need.id).items()
        if knowledge.part_attributes.get(name, {}).get("technical", True)
    }


def written(value: Value) -> str:
    """A value as price lists write it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def contents(part: Part) -> list[dict[str, Any]]:
    """The pieces of a box as conditions see them."""
    return [
        {
            "item": content.item,
            "pieces": float(content.pieces),
            **{name: plain(value) for name, value in content.attributes.items()},
        }
        for content in part.contents
    ]


def own_view(own: OwnPart | None) -> dict[str, Any]:
    """What conditions see of a part that the customer brings."""
    brought = {name: plain(value) for name, value in own.attributes.items()} if own else {}
    return standing_view("own", brought, f"own/{own.need if own else ''}", renewed=True)


class Several(list[Any]):
    """Several values in a view. Named values are remembered by what they read, so that it must hash."""

    def __hash__(self) -> int:  # type: ignore[override]
        """Equal values show alike, so they hash alike."""
        return hash(str(self))


def standing_view(state: str, attributes: View, key: str, renewed: bool) -> dict[str, Any]:
    """Attributes with how the thing stands there; where nothing stands, none."""
    if state == "none":
        attributes = {}
    shown = {name: Several(value) if isinstance(value, list) else value for name, value in attributes.items()}
    return {**shown, "key": key, "state": state, "fitted": state != "none", "renewed": renewed}
