"""The job: vehicle, evidence, plan and customer of one piece of work, and later what was really done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from tappetry.records.evidence import Fact
from tappetry.records.plan import Plan


@dataclass(frozen=True, slots=True)
class Job:
    """One job as a person states it: facts with evidence, plan, place, signatures."""

    id: str
    title: str
    date: date
    facts: tuple[Fact, ...]
    plan: Plan
    unknown: tuple[str, ...] = ()
    customer: str = ""
    place: str = ""
    road_use: bool = True
    signatures: Mapping[str, str] = field(default_factory=dict)
    file: str = ""
