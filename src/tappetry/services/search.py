"""Searches the right camshaft for a job: over its shelf, and over what might be ground for it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from functools import partial
from importlib.metadata import version
from pathlib import Path
from typing import Any

from tappetry.identification.resolve import Identification
from tappetry.records.job import Job
from tappetry.records.problems import BadInput, Ground, Refusal, Where
from tappetry.search.exploring import Judged, Specification, explore
from tappetry.search.front import undominated
from tappetry.search.goals import Figures, Goal, figures, score
from tappetry.search.turning import Asked, Turned, advanced, compressed, turn
from tappetry.search.workers import Worker, worked
from tappetry.services.breathing import describe
from tappetry.services.curves import model_mark
from tappetry.services.driving import converter_of, stall_speeds
from tappetry.services.kits import identify_job
from tappetry.services.model_sources import SOURCES
from tappetry.services.search_cams import (
    HERE,
    NO_LOBE,
    Camshaft,
    Proved,
    engines,
    free_between,
    made,
    proved,
    shelf,
)
from tappetry.services.search_memory import Memory, mark
from tappetry.services.shop import Shop
from tappetry.services.simulate import FASTEST, SLOWEST, make_ready, steps_of, versions
from tappetry.services.variants import VARIANT
from tappetry.simulation.cycle import Settling
from tappetry.simulation.engine import Engine, Mesh
from tappetry.simulation.launch import Converter
from tappetry.simulation.roughness import roughness

RPM = math.pi / 30.0
ADVANCE, COMPRESSION = math.radians(2.0), 0.2
"""How far a camshaft may stand beside its card, and the compression beside its reckoning. [rad], [1]"""
MOST_CURVES, MOST_SPEEDS = 20_000, 200
MOST_SHIFT = 2000.0 * RPM
"""By how much a limit of the stall may lie beside that of the factory's camshaft. [rad/s]"""

Told = Callable[[float, str], None]
"""Hears how far a search is, as a share and in words."""

PROVING = 0.3
"""Share of the proofs in the work on some camshafts; the rest is turning. [1]"""


@dataclass(frozen=True, slots=True)
class Wish:
    """What is wanted of a camshaft, and how it is looked for.

    Attributes
    ----------
    goals : tuple of Goal
    first, last : float or None
        Of the band; from 1500 to the redline where nothing is said. [rpm]
    step : float
        [rpm]
    least_vacuum : float or None
        Floor of the vacuum at idle. [Pa]
    most_roughness : float or None
        Ceiling of the deviation of work from cycle to cycle at idle. [1]
    least_stall : float or None
        Floor of the stall of the converter, above the one with the factory's camshaft. [rad/s]
    may_sign : bool
        Camshafts that somebody has to sign for stay in.
    generation, generations : int
        Of camshafts to be ground; none where either is 0.
    free : mapping
        Ends of what is free in them, by name, in the unit of the name.
    seed : int
    workers : int
    cluster : str
        Address of a scheduler; empty for this machine.
    mesh : Mesh
    """

    goals: tuple[Goal, ...] = (Goal.TORQUE,)
    first: float | None = None
    last: float | None = None
    step: float = 500.0
    least_vacuum: float | None = None
    most_roughness: float | None = None
    least_stall: float | None = None
    may_sign: bool = False
    generation: int = 0
    generations: int = 0
    free: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    seed: int = 1
    workers: int = 1
    cluster: str = ""
    mesh: Mesh = field(default_factory=Mesh)


@dataclass(frozen=True, slots=True)
class Weighed:
    """A camshaft that stays in, with its whole curve.

    ``less`` and ``more`` are its figures at their worst and best within the tolerances; None where they were
    not turned.
    """

    camshaft: Camshaft
    turned: Turned
    figures: Figures
    less: Mapping[Goal, float] = field(default_factory=dict)
    more: Mapping[Goal, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Excluded:
    """A camshaft that does not stay in, and why."""

    camshaft: Camshaft
    why: str


@dataclass(frozen=True, slots=True)
class Searched:
    """What a search found.

    Attributes
    ----------
    front : tuple of Weighed
        That no other one beats, by the first goal.
    beaten : tuple of Weighed
    excluded : tuple of Excluded
        Of the shelf; of those to be ground only how many, `not_ground`.
    made_with : dict
        Model, engine, settings, versions: all that it takes to make it again.
    """

    job: str
    variant: str
    wish: Wish
    front: tuple[Weighed, ...]
    beaten: tuple[Weighed, ...]
    excluded: tuple[Excluded, ...]
    not_ground: int
    made_with: Mapping[str, Any]


def search(shop: Shop, job: Job, wish: Wish, told: Told, keep: Path | None = None) -> Searched:
    """The front of camshafts for a job; what is turned is kept in a file and not turned again.

    Raises
    ------
    BadInput
        A wish cannot be met as it is said, or the file is none of a search.
    Refusal
        The engine is not known, or no camshaft stays in.
    """
    return _Search(shop, job, wish, told, Memory(keep)).run()


def require_limits(wish: Wish) -> None:
    """The limits of a wish are such as an engine could meet.

    Raises
    ------
    BadInput
        One of them is not.
    """
    vacuum, roughness, stall = wish.least_vacuum, wish.most_roughness, wish.least_stall
    if vacuum is not None and not 0.0 < vacuum < 100e3:
        _no_limit("vacuum", vacuum / 1e3, "above 0, below 100 kPa")
    if roughness is not None and not 0.0 < roughness <= 1.0:
        _no_limit("roughness", roughness * 100.0, "above 0, at most 100 %")
    if stall is not None and not abs(stall) <= MOST_SHIFT:
        _no_limit("stall", stall / RPM, f"-{MOST_SHIFT / RPM:.0f} to {MOST_SHIFT / RPM:.0f} rpm")


def _no_limit(field: str, value: float, expected: str) -> None:
    raise BadInput.at(Where(HERE, field=field), f"no such {field}", f"{value:g}", expected)


def require_searchable(shop: Shop, job: Job, wish: Wish) -> None:
    """A search could begin.

    Raises
    ------
    BadInput
        A wish cannot be met as it is said.
    Refusal
        The engine is not known.
    """
    _Search(shop, job, wish, lambda share, text: None, Memory(None))


class _Search:
    """One search; `memory` outlives it."""

    def __init__(self, shop: Shop, job: Job, wish: Wish, told: Told, memory: Memory) -> None:
        require_limits(wish)
        self.shop, self.job, self.wish, self.told, self.memory = shop, job, wish, told, memory
        self.identification = identify_job(shop, job)
        self.variant = job_variant(self.identification, job)
        self.described = describe(shop, self.variant)
        self.speeds = _speeds(wish, self.described.redline)
        self.settling = Settling()
        grinding = wish.generation > 0 and wish.generations > 0
        self.free = free_between(shop, job, wish.free) if grinding else ()
        self.stage, self.stages = 0, 2 + (wish.generations if grinding else 0)
        facts = self.identification.engine_as_found.facts
        self.stall_speeds = stall_speeds(facts) if _wants_stall(wish) else ()
        self.stages += 1 if self.stall_speeds else 0
        self.converter: Converter | None = None
        self.weighed: dict[str, Weighed] = {}
        self.excluded: dict[str, Excluded] = {}
        self.not_ground = 0

    def run(self) -> Searched:
        wish = self.wish
        make_ready(self.shop, self.variant)
        try:
            if self.stall_speeds:
                self.converter = self._converter()
            self._judge(shelf(self.shop, self.job, self.identification, self.described.cam), on_shelf=True)
            if self.free:
                explore(
                    self.free,
                    len(wish.goals),
                    self._judge_ground,
                    wish.generation,
                    wish.generations,
                    wish.seed,
                )
            return self._found()
        finally:
            self.memory.write()

    def _found(self) -> Searched:
        stay = list(self.weighed.values())
        if not stay:
            why = [f"{each.camshaft.name}: {each.why}" for each in self.excluded.values()]
            raise Refusal("No camshaft stays in.", ways_out=why)
        first = self.wish.goals[0]
        kept = undominated([[score(goal, each.figures) for goal in self.wish.goals] for each in stay])
        front = sorted(
            (each for each, stays in zip(stay, kept, strict=True) if stays),
            key=lambda each: -score(first, each.figures),
        )
        beaten = [each for each, stays in zip(stay, kept, strict=True) if not stays]
        return Searched(
            self.job.id,
            self.variant,
            self.wish,
            tuple(self._tolerated(front)),
            tuple(beaten),
            tuple(self.excluded.values()),
            self.not_ground,
            {
                "model": model_mark(),
                "versions": versions(self.shop),
                "sources": SOURCES,
                "strategy": f"NSGA-II of optuna {version('optuna')}",
                "seed": self.wish.seed,
                "generation": self.wish.generation,
                "generations": self.wish.generations,
                "free": [asdict(each) for each in self.free],
                "speeds_rpm": [round(speed / RPM, 6) for speed in self.speeds],
                "mesh": asdict(self.wish.mesh),
                "settling": asdict(self.settling),
                "tolerance": {"advance_deg": math.degrees(ADVANCE), "compression": COMPRESSION},
                "engine_without_camshaft_of": asdict(self.described.engine),
            },
        )

    def _converter(self) -> Converter:
        """What the converter takes, by its stated stall behind the factory's camshaft."""
        factory = self.described.cam
        asked = self._asked(Camshaft(factory, self.shop.catalogue.tables["grind"][factory], {}))
        self._turn([asked], "camshafts of the factory")
        self.stage += 1
        turned = self.memory.known[mark(asked)]
        if turned.complaint:
            raise Refusal(f"The stall with the factory's camshaft is not known: {turned.complaint}")
        return converter_of(self.identification.engine_as_found.facts, turned.stall)

    def _judge_ground(self, wanted: Sequence[Specification]) -> Sequence[Judged]:
        blank = self.shop.catalogue.tables["grind"][self.job.plan.cam]
        camshafts = [made(blank, each) for each in wanted]
        return self._judge(camshafts, on_shelf=False)

    def _judge(self, camshafts: Sequence[Camshaft | Proved], *, on_shelf: bool) -> Sequence[Judged]:
        """Prove each camshaft, turn those that stay in, weigh them; in the order in which they came."""
        proofs = []
        for count, each in enumerate(camshafts, 1):
            proofs.append(each if isinstance(each, Proved) else self._proved(each, on_shelf))
            self._tell(PROVING * count / len(camshafts), f"{count} of {len(camshafts)} camshafts proved")
        asked = [
            self._asked(each) if isinstance(each, Camshaft) and proof.stays else None
            for each, proof in zip(camshafts, proofs, strict=True)
        ]
        self._turn([each for each in asked if each is not None], "camshafts", PROVING)
        self.stage += 1
        return [
            self._weigh(each, proof, one, on_shelf)
            for each, proof, one in zip(camshafts, proofs, asked, strict=True)
        ]

    def _proved(self, camshaft: Camshaft, on_shelf: bool) -> Proved:
        if on_shelf and camshaft.name == self.described.cam:
            return Proved(True)  # as it left the factory: nothing is bought for it
        return proved(self.shop, self.job, self.identification, camshaft, self.wish.may_sign, on_shelf)

    def _asked(self, camshaft: Camshaft) -> Asked:
        full, part = engines(self.shop, self.job, self.variant, camshaft)
        idle = self.described.idle * RPM if _wants_idle(self.wish) else 0.0
        return Asked(full, part, self.speeds, idle, self.stall_speeds, self.wish.mesh, self.settling)

    def _turn(self, asked: Iterable[Asked], what: str, done: float = 0.0) -> None:
        """Turn what is not known yet; ``done`` of this stage is behind. [1]"""
        new = {key: each for each in asked if (key := mark(each)) not in self.memory.known}
        keys = list(new)
        for count, (number, turned) in enumerate(
            worked(turn, list(new.values()), Worker(self.wish.workers, self.wish.cluster)), 1
        ):
            self.memory.add(keys[number], turned)
            self._tell(done + (1.0 - done) * count / len(keys), f"{count} of {len(keys)} {what} turned")

    def _tell(self, share: float, text: str) -> None:
        self.told((self.stage + share) / self.stages, text)

    def _weigh(
        self, camshaft: Camshaft | Proved, proof: Proved, asked: Asked | None, on_shelf: bool
    ) -> Judged:
        if isinstance(camshaft, Proved) or asked is None:
            return self._out(camshaft, proof.why, proof.broken, on_shelf)
        turned = self.memory.known[mark(asked)]
        if turned.complaint:
            return self._out(camshaft, turned.complaint, NO_LOBE, on_shelf)
        found = figures(turned, asked.part_load, self.converter)
        short = self._short(turned, found, asked.part_load)
        if short:
            return self._out(camshaft, short[0], short[1], on_shelf)
        scores = tuple(score(goal, found) for goal in self.wish.goals)
        self.weighed.setdefault(mark(asked), Weighed(camshaft, turned, found))
        return Judged(scores, 0.0)

    def _short(self, turned: Turned, found: Figures, part_load: Engine) -> tuple[str, float] | None:
        """What the curve lacks, and by how much."""
        wish = self.wish
        if not math.isfinite(found.fuel):
            return "it gives no work in the band", NO_LOBE
        if found.vacuum is None and _wants_idle(wish):
            return f"it does not idle: {turned.no_idle}", 1.0
        if wish.least_vacuum is not None and found.vacuum is not None and found.vacuum < wish.least_vacuum:
            why = f"vacuum at idle {found.vacuum / 1e3:.1f} kPa, at least {wish.least_vacuum / 1e3:.1f} kPa"
            return why, 1.0 - found.vacuum / wish.least_vacuum
        return self._uneven(turned, found, part_load) or self._stalls(found)

    def _stalls(self, found: Figures) -> tuple[str, float] | None:
        """Whether the converter stalls too low, and by how much."""
        if self.converter is None:
            return None
        if found.stall is None:
            return "the converter stalls too far from its stated speed to say", 1.0
        least, reference = self.wish.least_stall, self.converter.reference_stall_speed
        if least is None or found.stall >= least:
            return None
        why = f"the converter stalls at {found.stall / RPM:+.0f} rpm, at least {least / RPM:+.0f}"
        return f"{why} against the factory's camshaft", (least - found.stall) / reference

    def _uneven(self, turned: Turned, found: Figures, part_load: Engine) -> tuple[str, float] | None:
        """Whether it idles too unevenly, and by how much."""
        most = self.wish.most_roughness
        if turned.idle is None or (most is None and Goal.ROUGHNESS not in self.wish.goals):
            return None
        if found.roughness is None:
            return f"it idles too unevenly to say: {roughness(part_load, turned.idle).why_not}", 1.0
        if most is None or found.roughness <= most:
            return None
        why = f"work at idle differs by {found.roughness:.1%} from cycle to cycle, at most {most:.1%}"
        return why, min(found.roughness / most - 1.0, 1.0)

    def _out(self, camshaft: Camshaft | Proved, why: str, broken: float, on_shelf: bool) -> Judged:
        if on_shelf and isinstance(camshaft, Camshaft):
            self.excluded[camshaft.name] = Excluded(camshaft, why)
        else:
            self.not_ground += 1
        return Judged((), max(broken, 1e-9))

    def _tolerated(self, front: Sequence[Weighed]) -> Sequence[Weighed]:
        """The front with its figures at the ends of the tolerances."""
        moves = [
            *(partial(advanced, angle=angle) for angle in (-ADVANCE, ADVANCE)),
            *(partial(compressed, more=more) for more in (-COMPRESSION, COMPRESSION)),
        ]
        asked = [[move(self._asked(each.camshaft)) for move in moves] for each in front]
        self._turn([one for each in asked for one in each], "ends of tolerances")
        return [self._with_ends(each, ends) for each, ends in zip(front, asked, strict=True)]

    def _with_ends(self, each: Weighed, ends: Sequence[Asked]) -> Weighed:
        turned = [self.memory.known[mark(one)] for one in ends]
        found = [
            each.figures,
            *(
                figures(one, at_end.part_load, self.converter)
                for one, at_end in zip(turned, ends, strict=True)
                if not one.complaint
            ),
        ]
        goals = self.wish.goals
        return replace(
            each,
            less={goal: min(score(goal, one) for one in found) for goal in goals},
            more={goal: max(score(goal, one) for one in found) for goal in goals},
        )


def _wants_stall(wish: Wish) -> bool:
    return Goal.STALL in wish.goals or wish.least_stall is not None


def _wants_idle(wish: Wish) -> bool:
    limits = (wish.least_vacuum, wish.most_roughness)
    return bool({Goal.VACUUM, Goal.ROUGHNESS} & set(wish.goals)) or limits != (None, None)


def job_variant(identification: Identification, job: Job) -> str:
    """The variant of the engine of a job into which a camshaft goes.

    Raises
    ------
    Refusal
        The camshaft stays, or it is not known which engine stands there.
    """
    if not job.plan.conversion:
        raise Refusal(
            f"Job {job.id} cannot be searched for: its camshaft stays as it was found.",
            [Ground(f"the plan asks for {', '.join(job.plan.work)} and names no camshaft", f"job {job.id}")],
            ["plan a camshaft, any that is sold for the engine: the others are set beside it"],
        )
    facts = identification.engine_as_found.facts
    if VARIANT not in facts:
        raise Refusal(
            f"Job {job.id} cannot be searched for: which variant of the engine stands there is not known.",
            ways_out=["state what tells its variant; `tappetry identify` says what"],
        )
    return str(facts[VARIANT].value)


def _speeds(wish: Wish, redline: float) -> tuple[float, ...]:
    """The speeds of the band. [rad/s]"""
    low = 1500.0 if wish.first is None else wish.first
    high = redline if wish.last is None else wish.last
    for option, speed in (("from", low), ("to", high)):
        if not SLOWEST <= speed <= FASTEST:
            where = Where(HERE, field=option)
            raise BadInput.at(
                where,
                "no such engine runs at this speed",
                f"{speed:g}",
                f"{SLOWEST:g} to {FASTEST:g} rpm",
            )
    if high <= low:
        raise BadInput.at(Where(HERE, field="to"), "the band is empty", f"{high:g}", f"above {low:g} rpm")
    if not wish.step > 0.0:
        raise BadInput.at(Where(HERE, field="step"), "speeds do not rise", f"{wish.step:g}", "above 0 rpm")
    count = steps_of(high - low, wish.step) + 1
    if count > MOST_SPEEDS:
        where = Where(HERE, field="step")
        raise BadInput.at(where, f"that makes {count} speeds", f"{wish.step:g}", f"at most {MOST_SPEEDS}")
    if count < 2:
        raise BadInput.at(
            Where(HERE, field="step"),
            "a band has two speeds at least",
            f"{wish.step:g}",
            f"at most {high - low:g}",
        )
    return tuple((low + wish.step * number) * RPM for number in range(count))
