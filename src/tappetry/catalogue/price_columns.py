"""How a supplier's price file is read: which of its columns is which of ours, and what its words mean."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any

import yaml

from tappetry.catalogue.attributes import ValueProblem, closest
from tappetry.catalogue.columns import STATUSES
from tappetry.catalogue.identity import normal
from tappetry.catalogue.numbers import read_amount, read_whole
from tappetry.catalogue.rows import PARTING_SIGNS
from tappetry.knowledge.text import Document, read_yaml
from tappetry.records.problems import Complaints

#: What a price file may tell of a part; a file without the first two tells too little.
NEEDED = ("number", "price")
OPTIONAL = (
    "supplier",
    "unit",
    "pieces",
    "description",
    "cost",
    "discount_percent",
    "core_charge",
    "status",
    "superseded_by",
    "date",
)
FIELDS = (
    "supplier",
    "parted_by",
    "columns",
    "ignored",
    "units",
    "statuses",
    "prefixes",
    "complete",
    "new",
    "suspicious_change_percent",
)
#: A price that changes by more than this many percent is asked about, where the shop says nothing else.
SUSPICIOUS_PERCENT = Decimal(15)


@dataclass(frozen=True, slots=True)
class PriceColumns:
    """How to read the price files of one sender.

    ``columns`` gives the file's column for each of our names, ``ignored`` columns that nobody reads;
    ``supplier`` is whose parts they are where no column tells it. Where no column tells unit and pieces, they
    stay as they are listed. ``units`` and ``statuses`` say what the file's words mean; ``prefixes`` what our
    list writes before a supplier's own numbers. A price that changes by more than
    ``suspicious_change_percent`` is asked about.
    """

    columns: Mapping[str, str]
    supplier: str = ""
    ignored: tuple[str, ...] = ()
    parted_by: str = ","
    units: Mapping[str, str] = field(default_factory=dict)
    statuses: Mapping[str, str] = field(default_factory=dict)
    prefixes: Mapping[str, str] = field(default_factory=dict)
    complete: bool = False
    new_lead_days: int = 0
    new_tax_class: str = "parts"
    new_returnable: bool = False
    suspicious_change_percent: Decimal = SUSPICIOUS_PERCENT

    @property
    def tells_pack(self) -> bool:
        """Whether the file says in which packs the parts are sold."""
        return "unit" in self.columns and "pieces" in self.columns

    def our_number(self, supplier: str, number: str) -> str:
        """A supplier's number as our list writes it."""
        prefix = self.prefixes.get(supplier, "")
        return number if normal(number).startswith(normal(prefix)) else prefix + number

    def bare(self, supplier: str, number: str) -> str:
        """A number without our prefix, punctuation and leading zeros: only to find zeros that got lost."""
        prefix = normal(self.prefixes.get(supplier, ""))
        return normal(number).removeprefix(prefix).lstrip("0")


def read_price_columns(path: Path, name: str | None = None) -> PriceColumns:
    """The reading of a sender's price files, from the shop's text; ``name`` is what complaints call it.

    Raises
    ------
    BadInput
        With every complaint: an unknown or missing name, a status that parts do not have.
    """
    document = read_yaml(path, name)
    complaints = Complaints()
    data: dict[str, Any] = document.data if isinstance(document.data, dict) else {}
    _check_names(document, (), data, FIELDS, ("columns",), complaints)
    columns = data.get("columns", {})
    _check_names(document, ("columns",), columns, (*NEEDED, *OPTIONAL), NEEDED, complaints)
    if not data.get("supplier") and "supplier" not in columns:
        said = "neither a column nor the file says whose parts they are"
        complaints.add(document.where(("columns",)), said, "", "supplier: its code, or a column for it")
    if ("unit" in columns) != ("pieces" in columns):
        said = "unit and pieces are told by a column each, or neither is"
        complaints.add(document.where(("columns",)), said, ", ".join(map(str, columns)), "unit and pieces")
    parted_by = str(data.get("parted_by", ","))
    if parted_by not in PARTING_SIGNS:
        expected = "one of " + ", ".join(PARTING_SIGNS.values())
        complaints.add(
            document.where(("parted_by",)), "no sign that parts columns", repr(parted_by), expected
        )
    for word, status in data.get("statuses", {}).items():
        if status not in STATUSES:
            where = document.where(("statuses", word))
            complaints.add(where, "there is no such status", status, "one of " + ", ".join(STATUSES))
    new = data.get("new", {})
    lead_days, percent = 0, SUSPICIOUS_PERCENT
    try:
        lead_days = read_whole(str(new.get("lead_days", 0)), 0)
        percent = read_amount(str(data.get("suspicious_change_percent", SUSPICIOUS_PERCENT)))
    except ValueProblem as problem:
        complaints.add(document.where(("new",)), problem.message, "", problem.expected)
    complaints.raise_if_any()
    return PriceColumns(
        columns={name: str(column) for name, column in columns.items()},
        supplier=str(data.get("supplier", "")),
        ignored=tuple(map(str, data.get("ignored", ()))),
        parted_by=parted_by,
        units={str(word): str(unit) for word, unit in data.get("units", {}).items()},
        statuses={str(word): str(status) for word, status in data.get("statuses", {}).items()},
        prefixes={str(code): str(prefix) for code, prefix in data.get("prefixes", {}).items()},
        complete=bool(data.get("complete", False)),
        new_lead_days=lead_days,
        new_tax_class=str(new.get("tax_class", "parts")),
        new_returnable=bool(new.get("returnable", False)),
        suspicious_change_percent=percent,
    )


def price_columns_text(how: PriceColumns) -> str:
    """The reading of a sender's price files as the shop's text; reading it gives the same."""
    data: dict[str, Any] = {
        "supplier": how.supplier,
        "parted_by": how.parted_by,
        "columns": dict(how.columns),
        "ignored": list(how.ignored),
        "units": dict(how.units),
        "statuses": dict(how.statuses),
        "prefixes": dict(how.prefixes),
        "complete": how.complete,
        "new": {
            "lead_days": how.new_lead_days,
            "tax_class": how.new_tax_class,
            "returnable": how.new_returnable,
        },
        "suspicious_change_percent": f"{how.suspicious_change_percent:f}",
    }
    stated = {name: value for name, value in data.items() if value not in ("", [], {})}
    return yaml.safe_dump(stated, sort_keys=False, allow_unicode=True)


def _check_names(
    document: Document,
    path: tuple[str, ...],
    data: Mapping[str, Any],
    known: tuple[str, ...],
    needed: tuple[str, ...],
    complaints: Complaints,
) -> None:
    for name in data:
        if name not in known:
            near = closest(str(name), known)
            expected = f"did you mean {near}?" if near else ", ".join(known)
            complaints.add(document.where((*path, str(name))), "there is no such name", name, expected)
    for name in needed:
        if name not in data:
            complaints.add(document.where(path), "a name is missing", ", ".join(map(str, data)), name)
