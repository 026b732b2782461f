"""Jobs of the invented shop, resolved as the program resolves them, so that conditions can be judged."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from tappetry.assembly.roots import facts_by_name
from tappetry.jobs.reader import read_job
from tappetry.kitting.resolve import Resolution, resolve
from tappetry.knowledge.fasteners import TorqueTable
from tappetry.knowledge.language import Expression
from tappetry.knowledge.procedures import Step, steps_for
from tappetry.records.job import Job
from tappetry.services import kits
from tests.kitting.support import Ask, demo

#: Jobs that between them take every variant of the work: the demo's own, and more engines and plans.
JOBS = ("J1", "J3", "J5")
ASKS = (
    Ask("A02", "B2", use="track", package="best"),
    Ask("A06", "B4", phaser="remove", deact="remove"),
    Ask("A05", "B1", deact="keep"),
    Ask("ML-L", "M1"),
    Ask("OS-E", "O1"),
    Ask("OS-L", "O1", heads="on"),
)
NAMES = (*JOBS, *map(str, ASKS))
#: Jobs whose camshaft stays.
WORK = ("J7", "J8")


@dataclass(frozen=True)
class Bench:
    """A job at the bench: its kit, what conditions see, and the torques of its engine."""

    job: Job
    family: str
    resolution: Resolution

    def truth(self, expression: Expression) -> bool | None:
        """Whether a condition holds for the job."""
        return self.resolution.values.maybe(expression, self.resolution.views)

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps of the job."""
        return steps_for(demo().knowledge.procedures, self.truth)

    @property
    def ids(self) -> list[str]:
        """Their names, in order."""
        return [step.id for step in self.steps]

    @property
    def table(self) -> TorqueTable:
        """The torques of the engine's family."""
        return demo().knowledge.fasteners[self.family]


@cache
def bench(name: str) -> Bench:
    """One of the jobs, read and resolved once."""
    shop = demo()
    if name in (*JOBS, *WORK):
        job = read_job(shop.jobs / f"{name}.yaml", shop.knowledge)
    else:
        job = next(ask for ask in ASKS if str(ask) == name).job()
    request = kits.request_of(shop, job, kits.identify_job(shop, job))
    facts = facts_by_name(shop.knowledge.attributes, request.engine)
    return Bench(job, request.engine.family, resolve(request, facts))
