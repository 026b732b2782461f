"""The head of every paper: who the shop is, and on what it prints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Letterhead:
    """The shop as it stands on its papers; ``paper`` is ``A4`` or ``Letter``.

    ``tax_number`` stands on invoices and credit notes alone, and is empty where the shop states none.
    """

    name: str
    place: str
    address: str = ""
    phone: str = ""
    paper: str = "A4"
    tax_number: str = ""

    def data(self) -> dict[str, Any]:
        """Name, and the lines beneath it."""
        return {"name": self.name, "lines": [text for text in (self.address, self.place, self.phone) if text]}
