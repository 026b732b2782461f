"""The camshafts on the shelf of a job beside the factory's: their cards, and their curves as long work."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tappetry.engineering.timing import ValveEvents, overlap_of_durations, valve_events
from tappetry.quantities.units import to_si
from tappetry.records.job import Job
from tappetry.records.problems import BadInput, Refusal
from tappetry.services.curves import Curve, kept_curve, wanted_curve
from tappetry.services.ledger import Ledger
from tappetry.services.queue import DONE, Standing, Task, Wanted, standing
from tappetry.services.variants import FACTORY_GRIND, VARIANT

ROCKER_RATIO = "rocker-ratio"


@dataclass(frozen=True, slots=True)
class CamCard:
    """What the card of a grind says.

    Attributes
    ----------
    cam, name, use : str
        ``use`` in the words of whoever sells it; empty where nothing is stated.
    factory, chosen : bool
        It is the factory's of this engine; the plan names it.
    intake_duration, exhaust_duration : float
        At 0.050 in of lobe lift, crank angle. [rad]
    separation, intake_centreline, exhaust_centreline : float
        The first as cam angle, the others as crank angle. [rad]
    overlap : float
        At 0.006 in of lobe lift, crank angle. [rad]
    intake_lift, exhaust_lift : float
        At the valve with the rockers of this engine, less the lash; at the lobe where they are not known. [m]
    at_valve : bool
        The lifts are those at the valve.
    events : ValveEvents
        At 0.050 in of lobe lift.
    """

    cam: str
    name: str
    use: str
    factory: bool
    chosen: bool
    intake_duration: float
    exhaust_duration: float
    separation: float
    intake_centreline: float
    exhaust_centreline: float
    overlap: float
    intake_lift: float
    exhaust_lift: float
    at_valve: bool
    events: ValveEvents


@dataclass(frozen=True, slots=True)
class Shelf:
    """The camshafts of a job, the factory's first, and the tasks of their curves where they can be simulated.

    ``why_not`` says why they cannot.
    """

    variant: str
    cards: tuple[CamCard, ...]
    wanted: tuple[Wanted, ...]
    why_not: str


@dataclass(frozen=True, slots=True)
class Compared:
    """The shelf and what is worked out of it by now; ``curves`` as the cards, None where open."""

    shelf: Shelf
    asked: bool
    standing: Standing
    curves: tuple[Curve | None, ...]
    tasks: tuple[Task, ...]


def shelf(ledger: Ledger, job: Job) -> Shelf:
    """The camshafts that are sold for the engine of a job, and the factory's.

    Raises
    ------
    Refusal
        The engine family is not known.
    """
    return ledger.remembered("shelf", job, lambda: _shelf(ledger, job))


def compared(ledger: Ledger, job: Job) -> Compared:
    """What is worked out of a job's camshafts by now.

    Raises
    ------
    Refusal
        The engine family is not known.
    """
    found = shelf(ledger, job)
    tasks = ledger.queue.found([each.key for each in found.wanted])
    by_key = {task.key: task for task in tasks}
    curves = tuple(_curve(ledger, by_key.get(each.key)) for each in found.wanted)
    asked = len(by_key) == len({each.key for each in found.wanted}) > 0
    return Compared(found, asked, standing(tasks), curves, tuple(tasks))


def ask_curves(ledger: Ledger, job: Job, who: str) -> None:
    """Ask for the curves of a job's camshafts; what is known already is not worked out again.

    Raises
    ------
    Refusal
        The engine is not known, or it is not stated how it breathes.
    """
    found = shelf(ledger, job)
    if not found.wanted:
        raise Refusal(found.why_not)
    ledger.queue.ask(found.wanted, who)


def stop_curves(ledger: Ledger, job: Job) -> None:
    """Stop working out what is not done yet."""
    ledger.queue.stop([each.key for each in shelf(ledger, job).wanted])


def _curve(ledger: Ledger, task: Task | None) -> Curve | None:
    if task is None or task.state != DONE or task.result is None:
        return None
    return kept_curve(ledger.shop, task.task, task.result)


def _shelf(ledger: Ledger, job: Job) -> Shelf:
    facts = ledger.identify(job).engine_as_found.facts
    variant = str(facts[VARIANT].value) if VARIANT in facts else ""
    factory = str(facts[FACTORY_GRIND].value) if FACTORY_GRIND in facts else ""
    ratio = float(str(facts[ROCKER_RATIO].value)) if ROCKER_RATIO in facts else None
    sold = [each for choice in ledger.choices(job) if choice.field == "cam" for each in choice.others]
    names = sorted({*sold, *([job.plan.cam] if job.plan.cam else [])} - {factory})
    grinds = ledger.shop.catalogue.tables["grind"]
    cards = tuple(
        _card(name, grinds[name], ratio, factory, job.plan.cam)
        for name in [*([factory] if factory else []), *names]
        if name in grinds
    )
    if not variant:
        return Shelf("", cards, (), "Which variant of the engine stands there is not known yet.")
    try:
        wanted = tuple(wanted_curve(ledger.shop, variant, card.cam) for card in cards)
    except BadInput as error:
        return Shelf(variant, cards, (), str(error))
    return Shelf(variant, cards, wanted, "")


def _card(cam: str, grind: Mapping[str, Any], ratio: float | None, factory: str, chosen: str) -> CamCard:
    def angle(name: str) -> float:
        return math.radians(float(grind[name]))

    def lift(side: str) -> float:
        lobe = to_si(float(grind[f"lobe_lift_{side}_in"]), "in", "length")
        lash = to_si(float(grind[f"lash_{side}_in"]), "in", "length")
        return lobe if ratio is None else lobe * ratio - lash

    durations = angle("duration_050_intake_deg"), angle("duration_050_exhaust_deg")
    centres = angle("icl_deg"), angle("ecl_deg")
    return CamCard(
        cam=cam,
        name=str(grind["name"]),
        use="" if grind.get("factory") else str(grind.get("use", "")),
        factory=cam == factory,
        chosen=cam == chosen,
        intake_duration=durations[0],
        exhaust_duration=durations[1],
        separation=angle("lsa_deg"),
        intake_centreline=centres[0],
        exhaust_centreline=centres[1],
        overlap=float(
            overlap_of_durations(
                angle("duration_006_intake_deg"), angle("duration_006_exhaust_deg"), angle("lsa_deg")
            )
        ),
        intake_lift=lift("intake"),
        exhaust_lift=lift("exhaust"),
        at_valve=ratio is not None,
        events=valve_events(*durations, *centres),
    )
