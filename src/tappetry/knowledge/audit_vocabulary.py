"""The names that a condition may read, and the values that stand behind them, as far as the data tells."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from typing import Any

from tappetry.knowledge import schema
from tappetry.knowledge.audit_subject import Subject
from tappetry.knowledge.model import Slot
from tappetry.knowledge.syntax import Name
from tappetry.records.evidence import Grade, Value
from tappetry.records.family import Family, Fitted, key_text, with_tables
from tappetry.records.part import Part

Plain = bool | float | str
Values = frozenset[Plain]

#: What conditions see of the plan and of the job.
PLAN = ("phaser", "deact", "heads", "cam", "work", "conversion", "use", "package", "rpm")
JOB = ("place", "road_use", "signed")
GRADES: Values = frozenset(Grade.__members__)
TRUTHS: Values = frozenset({True, False})
#: Members that every slot has, beside the attributes of what fills it, and their values where they are few.
STANDARD: Mapping[str, Values | None] = {
    "state": frozenset({"new", "own", "reuse", "shop stock", "by hand", "outside service", "none", "open"}),
    "renewed": TRUTHS,
    "fitted": TRUTHS,
    "key": None,
    "standing": None,
    "contents": None,
    "core_billed": TRUTHS,
}
#: Members that every piece of a box has.
PIECE = ("item",)


class Vocabulary:
    """The names of one shop, over all its families or over one."""

    def __init__(self, subject: Subject) -> None:
        self.subject = subject
        self.knowledge = subject.knowledge

    @cached_property
    def roots(self) -> dict[str, frozenset[str]]:
        """Every root with its members; a named value has none."""
        found: dict[str, frozenset[str]] = {
            "engine": frozenset(a.name_in_conditions for a in self.knowledge.attributes.values()),
            "stated": frozenset(a.name_in_conditions for a in self.knowledge.attributes.values()),
            "grade": frozenset(a.name_in_conditions for a in self.knowledge.attributes.values()),
            "plan": frozenset(PLAN),
            "job": frozenset(JOB),
            "limits": frozenset(self.knowledge.book.limits),
        }
        for need in self.knowledge.needs.values():
            found[f"found_{need.root}"] = frozenset(self._found_values(need.id))
        for root, slot in self._slots.items():
            found[root] = frozenset(self._slot_values(slot)) | frozenset(STANDARD)
        for name in self.knowledge.named:
            found[name] = frozenset()
        return found

    def pieces_of(self, need: str) -> frozenset[str]:
        """What conditions may read of a piece in the boxes that fill a need."""
        parts = self.subject.parts_for(need)
        stated = {name for part in parts for content in part.contents for name in content.attributes}
        return frozenset({*PIECE, *stated})

    def need_of(self, root: str) -> str:
        """The need behind a slot's root; empty for another root."""
        slot = self._slots.get(root)
        return slot.need if slot else ""

    def values(self, name: Name) -> Values | None:
        """The values that a name can have; None when they are not known to be few."""
        if len(name.path) != 2:
            return None
        root, member = name.path
        if root == "engine":
            return self._engine.get(member)
        if root == "plan":
            return self._plan.get(member)
        if root == "grade":
            return GRADES
        slot = self._slots.get(root)
        if slot is not None:
            return STANDARD[member] if member in STANDARD else self._slot_values(slot).get(member)
        need = self._found_roots.get(root)
        return self._found_values(need).get(member) if need else None

    # ---- engine and plan -----------------------------------------------------------------------------

    @cached_property
    def _engine(self) -> dict[str, Values]:
        found: dict[str, Values] = {}
        for attribute in self.knowledge.attributes.values():
            if attribute.type == "truth":
                found[attribute.name_in_conditions] = TRUTHS
            elif attribute.type == "choice" or (attribute.type == "list" and attribute.values):
                found[attribute.name_in_conditions] = frozenset(attribute.values)
        return found

    @cached_property
    def _plan(self) -> dict[str, Values]:
        stated: dict[str, Any] = schema.schema("job")["properties"]["plan"]["properties"]
        found = {
            name: frozenset(map(str, stated[name]["enum"])) for name in PLAN if "enum" in stated.get(name, {})
        }
        return {
            **found,
            "work": frozenset(self.knowledge.book.work),
            "conversion": TRUTHS,
            "package": frozenset(self.knowledge.book.packages),
        }

    # ---- slots ---------------------------------------------------------------------------------------

    @cached_property
    def _slots(self) -> dict[str, Slot]:
        return self.knowledge.slots()

    @cached_property
    def _found_roots(self) -> dict[str, str]:
        return {f"found_{need.root}": need.id for need in self.knowledge.needs.values()}

    def _slot_values(self, slot: Slot) -> dict[str, Values]:
        """The values of each attribute of what may fill a slot: in the catalogue, or fitted as built."""
        if slot.need not in self._by_need:
            seen = [self.seen(part, slot.need) for part in self.subject.parts_for(slot.need)]
            self._by_need[slot.need] = gathered([*seen, *self._fitted_rows(slot.need)])
        return self._by_need[slot.need]

    @cached_property
    def _by_need(self) -> dict[str, dict[str, Values]]:
        return {}

    def seen(self, part: Part, need: str) -> Mapping[str, Any]:
        """What conditions see of a part: its attributes on top of the tables that they point into."""
        seen = with_tables(part.attributes_for(need), self.knowledge.tables)
        return {name: value for name, value in seen.items() if self._is_seen(name)}

    def _is_seen(self, attribute: str) -> bool:
        """An attribute that is not technical does not tell parts apart and is not seen."""
        return bool(self.knowledge.part_attributes.get(attribute, {}).get("technical", True))

    def _found_values(self, need: str) -> dict[str, Values]:
        return gathered(self._fitted_rows(need))

    def _fitted_rows(self, need: str) -> list[Mapping[str, Any]]:
        return [
            with_tables(row, self.knowledge.tables)
            for family in self.knowledge.families.values()
            for row in rows_of(family.fitted.get(need))
        ]


def rows_of(fitted: Fitted | None) -> Iterator[Mapping[str, Value]]:
    """Every row of what a family fits for a need."""
    for table in fitted.tables if fitted else ():
        yield from table.rows.values()


def gathered(rows: Iterable[Mapping[str, Any]]) -> dict[str, Values]:
    """The values that each attribute has over the rows; a list gives each of its items."""
    found: dict[str, set[Plain]] = {}
    for row in rows:
        for name, value in row.items():
            found.setdefault(name, set()).update(value if isinstance(value, tuple | list) else (value,))
    return {name: frozenset(values) for name, values in found.items()}


def family_values(family: Family) -> dict[str, Values]:
    """The values that each engine attribute can have in a family, as far as its text states them."""
    return gathered(
        [
            {"family": family.id},
            family.attributes,
            *(row for table in family.tables for row in table.rows.values()),
            *(application.attributes for application in family.applications),
        ]
    )


def fits(part: Part, values: Mapping[str, Values]) -> bool:
    """Whether a part may fit an engine whose attributes have these values; what is not stated may fit."""
    return all(
        attribute not in values or any(key_text(value) in allowed for value in values[attribute])
        for attribute, allowed in part.fits.items()
    )
