"""The head of every paper: who the shop is, and on what it prints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Letterhead:
    """The shop as it stands on its papers; ``paper`` is ``A4`` or ``Letter``."""

    name: str
    place: str
    address: str = ""
    phone: str = ""
    paper: str = "A4"

    def data(self) -> dict[str, Any]:
        """Name, and the lines beneath it."""
        return {"name": self.name, "lines": [text for text in (self.address, self.place, self.phone) if text]}
