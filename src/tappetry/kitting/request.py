"""What is asked: engine, plan and place, as the conditions see them, with the parts that may be bought."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from tappetry.assembly.memory import Memory
from tappetry.assembly.roots import plan_view
from tappetry.catalogue.catalogue import Catalogue
from tappetry.knowledge.model import Knowledge, Package
from tappetry.records.engine import EngineAsFound
from tappetry.records.plan import Plan


@dataclass(frozen=True, slots=True)
class Request:
    """One question to the kit solver.

    ``fixed`` holds the roots that do not depend on the choice of parts (engine, plan, job, limits
    and what was found fitted); ``found`` the attributes of the part that stands in each slot now.
    ``memory`` is shared by the requests of one shop. Where it is ``hurried`` a good kit will do, if it takes
    long to prove that it is the best.
    """

    knowledge: Knowledge
    catalogue: Catalogue
    engine: EngineAsFound
    plan: Plan
    package: Package
    fixed: Mapping[str, Any]
    found: Mapping[str, Mapping[str, Any]]
    today: date
    job: str = ""
    hurried: bool = False
    memory: Memory = field(default_factory=Memory, repr=False, compare=False)

    def planned(self, plan: Plan) -> Request:
        """The same engine under another plan."""
        book = self.knowledge.book
        return replace(
            self,
            plan=plan,
            package=book.packages[plan.package or book.default_package],
            fixed={**self.fixed, "plan": plan_view(plan, self.fixed["engine"])},
        )
