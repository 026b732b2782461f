"""Audits a shop's folder: its text against itself, its catalogue and the registered calculations."""

from __future__ import annotations

from pathlib import Path

from tappetry.calculations.registry import registry
from tappetry.catalogue.columns import SOLD
from tappetry.knowledge.audit import AuditFinding, CalculationNames, audit, unreadable
from tappetry.knowledge.breathing import FILE as BREATHING
from tappetry.knowledge.breathing import read_breathing
from tappetry.knowledge.motion import FILE as MOTION
from tappetry.knowledge.motion import read_motion
from tappetry.records.problems import BadInput
from tappetry.services.shop import open_shop


def audit_folder(folder: Path) -> tuple[AuditFinding, ...]:
    """Everything that is wrong or worth a look in a shop's folder, by file and line.

    Text that cannot be read is told as findings of kind ``unreadable``; the rest is looked into once it
    can be read.

    Raises
    ------
    BadInput
        The folder holds no shop.
    """
    shop = open_shop(folder)
    try:
        knowledge = shop.knowledge
        if (folder / BREATHING).is_file():
            read_breathing(folder)
        if (folder / MOTION).is_file():
            read_motion(folder)
        sold = [part for part in shop.catalogue.parts if part.status in SOLD and part.price > 0]
    except BadInput as error:
        return unreadable(error)
    return audit(folder, knowledge, sold, calculation_names())


def calculation_names() -> dict[str, CalculationNames]:
    """The registered calculations as the audit knows them."""
    return {
        calculation.name: CalculationNames(
            inputs={each.name: each.kind for each in calculation.inputs},
            outputs={each.name: each.kind for each in calculation.outputs},
            needed=frozenset(each.name for each in calculation.inputs if each.required),
        )
        for calculation in registry().calculations
    }
