"""One thing that is wrong with a kit, and the rule that says so."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CheckComplaint:
    """What is wrong.

    ``rule`` is the id of a rule or proof of the shop, or one of the checker's own names (see `judge`);
    ``line`` the part number, need or operation at which it shows.
    """

    rule: str
    text: str
    line: str = ""
