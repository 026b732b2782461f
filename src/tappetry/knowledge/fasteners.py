"""Reads the torque tables: how each joint of an engine family is tightened, and in which order."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tappetry.knowledge import schema
from tappetry.knowledge.audit_finding import closest
from tappetry.knowledge.language import Expression, compile_expression
from tappetry.knowledge.text import Document, Path_, read_yaml
from tappetry.records.problems import Complaints
from tappetry.records.procedure import BoltOrder, Stage

#: Says of a condition whether it holds; None while a fact that it needs is not known.
Truth = Callable[[Expression], bool | None]


@dataclass(frozen=True, slots=True)
class TorqueRow:
    """How one joint, or one part of it, is tightened.

    ``joint`` is a need, or a joint that the table names. ``when`` says for which class, nose, head or
    thread the row holds. A torque belongs to its ``lubricant``. ``fit`` tells how a joint is made that
    has no torque. ``bolts`` are the rows of the order's drawing that this row speaks of.
    """

    joint: str
    when: Expression
    lubricant: str
    source: str
    checked: str
    place: str = ""
    thread: str = ""
    count: int | None = None
    property_class: str = ""
    stages: tuple[Stage, ...] = ()
    fit: str = ""
    order: str = ""
    bolts: tuple[str, ...] = ()
    single_use: bool = False
    retorque: str = "never"
    tool: str = ""
    record: str = ""
    caution: str = ""
    note: str = ""

    @property
    def final_torque(self) -> float | None:
        """The last torque; None where there is none. [N.m]"""
        torques = [stage.torque for stage in self.stages if stage.torque is not None]
        return torques[-1] if torques else None

    @property
    def final_angle(self) -> float:
        """All that is turned on after the last torque. [rad]"""
        angle = 0.0
        for stage in self.stages:
            angle = 0.0 if stage.torque is not None else angle + (stage.angle or 0.0)
        return angle


@dataclass(frozen=True, slots=True)
class TorqueTable:
    """The torques of one engine family; ``joints`` are those that are no need, with what they are."""

    family: str
    rows: tuple[TorqueRow, ...]
    joints: Mapping[str, str] = field(default_factory=dict)
    orders: Mapping[str, BoltOrder] = field(default_factory=dict)
    file: str = ""

    def rows_for(self, joint: str, truth: Truth) -> tuple[TorqueRow, ...]:
        """The rows of a joint that hold; one whose condition is not known is among them.

        Parameters
        ----------
        joint : str
            A need, or a joint that the table names.
        truth : callable
            Judges a condition: true, false, or None while it is not known.
        """
        return tuple(row for row in self.rows if row.joint == joint and truth(row.when) is not False)


def torque_tables(folder: Path, families: Collection[str], needs: Collection[str]) -> dict[str, TorqueTable]:
    """The torque table of every family that has one, by the family's id.

    Raises
    ------
    BadInput
        A table cannot be read, or names a family, joint, order or row that does not exist.
    """
    tables: dict[str, TorqueTable] = {}
    complaints = Complaints()
    for file in sorted((folder / "families").glob("*/fasteners.yaml")):
        document = read_yaml(file, f"families/{file.parent.name}/fasteners.yaml")
        schema.check(document, "fasteners")
        table = _table(document)
        where = document.where(("family",))
        if table.family not in families:
            complaints.add(where, "there is no such family", table.family, " or ".join(sorted(families)))
        if table.family in tables:
            complaints.add(where, "the family has two torque tables", table.family, "one table a family")
        _check_names(document, table, needs, complaints)
        tables[table.family] = table
    complaints.raise_if_any()
    return tables


def _table(document: Document) -> TorqueTable:
    data: dict[str, Any] = document.data
    return TorqueTable(
        family=data["family"],
        rows=tuple(_rows(document)),
        joints=data.get("joints", {}),
        orders={name: _order(name, order) for name, order in data.get("orders", {}).items()},
        file=document.file,
    )


def _order(name: str, order: dict[str, Any]) -> BoltOrder:
    return BoltOrder(
        id=name,
        rule=order["rule"],
        seen_from=order.get("seen_from", ""),
        drawing=tuple(tuple(map(int, line.split())) for line in order.get("drawing", ())),
        rows={row: tuple(bolts) for row, bolts in order.get("rows", {}).items()},
        tightening=tuple(order.get("tightening", ())),
        loosening=tuple(order.get("loosening", ())),
    )


def _rows(document: Document) -> Iterator[TorqueRow]:
    data = document.data
    for index, row in enumerate(data["torques"]):
        path: Path_ = ("torques", index)
        yield TorqueRow(
            joint=row["joint"],
            when=compile_expression(row.get("when", True), document.where((*path, "when"))),
            lubricant=row["lubricant"],
            source=row.get("source", data["source"]),
            checked=row.get("checked", data["checked"]),
            place=row.get("place", ""),
            thread=row.get("thread", ""),
            count=row.get("count"),
            property_class=row.get("class", ""),
            stages=tuple(_stage(stage) for stage in row.get("stages", ())),
            fit=row.get("fit", ""),
            order=row.get("order", ""),
            bolts=tuple(row.get("bolts", ())),
            single_use=row.get("single_use", False),
            retorque=row.get("retorque", "never"),
            tool=row.get("tool", ""),
            record=row.get("record", ""),
            caution=row.get("caution", ""),
            note=row.get("note", ""),
        )


def _stage(stage: Mapping[str, float]) -> Stage:
    if "nm" in stage:
        return Stage(torque=float(stage["nm"]))
    return Stage(angle=math.radians(stage["deg"]))


# ---- names and numbers that must agree ---------------------------------------------------------------------


def _check_names(
    document: Document, table: TorqueTable, needs: Collection[str], complaints: Complaints
) -> None:
    for name, order in table.orders.items():
        _check_order(document, name, order, complaints)
    for index, row in enumerate(table.rows):
        path: Path_ = ("torques", index)
        if row.joint not in needs and row.joint not in table.joints:
            complaints.add(
                document.where((*path, "joint")),
                "there is no such joint",
                row.joint,
                closest(row.joint, {*needs, *table.joints}, "a need, or one of the table's own joints"),
            )
        if row.order and row.order not in table.orders:
            complaints.add(
                document.where((*path, "order")), "there is no such order", row.order, _one_of(table.orders)
            )
            continue
        rows = table.orders[row.order].rows if row.order else {}
        for place, bolts in enumerate(row.bolts):
            if bolts not in rows:
                complaints.add(
                    document.where((*path, "bolts", place)),
                    "the order has no such row of bolts",
                    bolts,
                    _one_of(rows),
                )


def _check_order(document: Document, name: str, order: BoltOrder, complaints: Complaints) -> None:
    """Drawing, rows, tightening and loosening speak of the same bolts, each once."""
    drawn = sorted(bolt for line in order.drawing for bolt in line)
    for key, bolts in (
        ("drawing", drawn),
        ("rows", [bolt for row in order.rows.values() for bolt in row]),
        ("tightening", list(order.tightening)),
        ("loosening", list(order.loosening)),
    ):
        wrong = sorted({bolt for bolt in bolts if bolts.count(bolt) > 1} | set(bolts) ^ set(drawn))
        if wrong:
            complaints.add(
                document.where(("orders", name, key)),
                "bolts that are missing, drawn nowhere, or stand twice",
                ", ".join(map(str, wrong)),
                "each bolt of the drawing once",
            )


def _one_of(names: Collection[str]) -> str:
    return "one of " + ", ".join(names) if names else "none: there are no such names"
