"""The columns of a list of parts, in order, and the states in which a part may be."""

from __future__ import annotations

COLUMNS = (
    "number",
    "supplier",
    "fills",
    "description",
    "fits",
    "attributes",
    "contents",
    "unit",
    "pieces",
    "cost",
    "price",
    "lead_days",
    "core_charge",
    "returnable",
    "tax_class",
    "status",
    "superseded_by",
    "note",
)
STATUSES = ("active", "by hand", "superseded", "discontinued")
#: Statuses in which a part is sold, so that its money must be right.
SOLD = ("active", "by hand")
