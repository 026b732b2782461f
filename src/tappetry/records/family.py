"""What a shop knows of engines: attributes, families with their tables, applications, production breaks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from tappetry.records.evidence import Fact, Value

#: Tables of the shop, by the attribute that points into each: what is known by each of its keys.
Tables = Mapping[str, Mapping[str, Mapping[str, Any]]]


@dataclass(frozen=True, slots=True)
class AttributeSchema:
    """One attribute of an engine or vehicle: what it is, how to see it, what hangs on it.

    ``about`` is engine, vehicle, use, test, or finding (made at tear-down; until it is made the line
    that it would open stays closed). ``grade`` is the lowest evidence that may drive a purchase.
    ``see``, ``photo`` and ``tool`` say how to find out; ``shares`` how often each value is met, by its text
    as the key of a table. ``renewed`` is true where work of the house may change it, so that a later job on
    the same engine asks it again.
    """

    id: str
    title: str
    type: str
    kind: str = ""
    unit: str = ""
    values: tuple[str, ...] = ()
    min: float | None = None
    max: float | None = None
    about: str = "engine"
    grade: str = ""
    see: str = ""
    ask: str = ""
    drives: str = ""
    name_in_conditions: str = ""
    photo: str = ""
    tool: str = ""
    shares: Mapping[str, float] = field(default_factory=dict)
    renewed: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """An implication: knowing the key attributes gives the others."""

    by: tuple[str, ...]
    rows: Mapping[tuple[str, ...], Mapping[str, Value]]
    source: str = ""

    def row_for(self, facts: Mapping[str, Fact]) -> Mapping[str, Value] | None:
        """The row that the facts select; None when a key is not known or has no row."""
        key = []
        for attribute in self.by:
            fact = facts.get(attribute)
            if fact is None:
                return None
            key.append(key_text(fact.value))
        return self.rows.get(tuple(key))


def key_text(value: Value) -> str:
    """A value as the key of a table row."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    return str(value)


def with_tables(own: Mapping[str, Any], tables: Tables) -> dict[str, Any]:
    """Attributes on top of what the tables of the shop know by one of them; of two tables the later one."""
    known: dict[str, Any] = {}
    for name, rows in tables.items():
        if name in own:
            known.update(rows.get(key_text(own[name]), {}))
    return {**known, **own}


@dataclass(frozen=True, slots=True)
class Fitted:
    """What stands in the engine for one need: attributes by one or several tables, later ones on top."""

    tables: tuple[Table, ...]

    def row_for(self, facts: Mapping[str, Fact]) -> Mapping[str, Value] | None:
        """The attributes as far as the facts tell; None when they tell nothing."""
        rows = [row for table in self.tables if (row := table.row_for(facts)) is not None]
        if not rows:
            return None
        merged: dict[str, Value] = {}
        for row in rows:
            merged.update(row)
        return merged


@dataclass(frozen=True, slots=True)
class Application:
    """One row of the application table: a vehicle, its years, VIN positions and engine as built.

    ``vin`` maps a position, counted from 1, to its character; ``maker`` is the first three characters
    (empty: any). ``light`` says that it is a passenger car or light truck, whose seventh position settles
    the 30-year cycle of the model year. ``serials`` are beginnings of engine serials, for an engine that
    comes without a vehicle.
    """

    id: str
    vehicle: str
    first_year: int
    last_year: int
    vin: Mapping[int, str] = field(default_factory=dict)
    attributes: Mapping[str, Value] = field(default_factory=dict)
    castings: tuple[str, ...] = ()
    transmissions: tuple[str, ...] = ()
    maker: str = ""
    light: bool | None = None
    serials: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Break:
    """A production break: the feature, the attribute that drives it, and what it changes."""

    feature: str
    driver: str
    before: str
    after: str
    when: str = ""


@dataclass(frozen=True, slots=True)
class Remark:
    """What to say, and what to ask, when facts stand together.

    ``when`` are facts that must be known with these values, ``unknown`` facts that must not be known.
    ``{attribute}`` in the text stands for the fact. ``ask`` are attributes to look at first.
    """

    id: str
    when: Mapping[str, Value]
    verdict: str
    text: str
    unknown: tuple[str, ...] = ()
    ask: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Family:
    """An engine family.

    ``identity`` are the attributes that tell one engine from another: where one differs from the
    vehicle's papers, another engine stands there. ``same_within`` maps an attribute to how far a reading
    may lie below and above the nominal value and still mean it (a bore only grows). ``service_castings``
    are blocks sold as replacement: they fit any application and prove none.
    """

    id: str
    name: str
    attributes: Mapping[str, Value] = field(default_factory=dict)
    tables: tuple[Table, ...] = ()
    fitted: Mapping[str, Fitted] = field(default_factory=dict)
    applications: tuple[Application, ...] = ()
    breaks: tuple[Break, ...] = ()
    limits: tuple[Mapping[str, object], ...] = ()
    file: str = ""
    identity: tuple[str, ...] = ()
    same_within: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    service_castings: tuple[str, ...] = ()
    remarks: tuple[Remark, ...] = ()
    reference: Mapping[str, object] = field(default_factory=dict)
