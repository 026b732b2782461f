"""Camshafts side by side: those on the shelf of a job, or the factory's of a family; cards and curves."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tappetry.engineering.timing import ValveEvents, overlap_of_durations, valve_events
from tappetry.knowledge.breathing import read_breathing
from tappetry.quantities.units import to_si
from tappetry.records.family import Family
from tappetry.records.job import Job
from tappetry.records.problems import BadInput, Refusal
from tappetry.services.breathing import Described, describe
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
    """Camshafts that are set side by side, and the tasks of their curves where they can be simulated.

    Attributes
    ----------
    cards : tuple of CamCard
        The factory's first.
    variants : tuple of str
        In which engine each of them turns; empty where the engine is not known.
    wanted : tuple of Wanted
        As the cards; empty where they cannot be simulated.
    why_not : str
        Why they cannot.
    """

    cards: tuple[CamCard, ...]
    variants: tuple[str, ...]
    wanted: tuple[Wanted, ...]
    why_not: str


@dataclass(frozen=True, slots=True)
class Compared:
    """The shelf and what is worked out of it by now; ``curves`` as the cards, None where open."""

    shelf: Shelf
    asked: bool
    standing: Standing
    curves: tuple[Curve | None, ...]

    @property
    def done(self) -> bool:
        """Everything that was asked for is worked out."""
        return self.asked and all(self.curves)


def job_shelf(ledger: Ledger, job: Job) -> Shelf:
    """The camshafts that are sold for the engine of a job, beside the factory's.

    Raises
    ------
    Refusal
        The camshaft stays, or the engine family is not known.
    """
    if not job.plan.conversion:
        raise Refusal(f"The camshaft of job {job.id} stays as it was found: no other one is set beside it.")
    return ledger.remembered("shelf", job, lambda: _job_shelf(ledger, job))


def family_shelf(ledger: Ledger, family: Family) -> Shelf:
    """The factory's camshafts of a family, each in its engine."""
    shop = ledger.shop
    described = [describe(shop, variant) for variant in read_breathing(shop.text).data["engines"]]
    found = [each for each in described if each.family == family.name]
    grinds = shop.catalogue.tables["grind"]
    return Shelf(
        cards=tuple(_card(each.cam, grinds[each.cam], _ratio(each), each.cam, "") for each in found),
        variants=tuple(each.variant for each in found),
        wanted=tuple(wanted_curve(shop, each.variant, each.cam) for each in found),
        why_not="" if found else "How these engines breathe is not stated.",
    )


def compared(ledger: Ledger, shelf: Shelf) -> Compared:
    """What is worked out of a shelf by now."""
    by_key = {task.key: task for task in ledger.queue.found([each.key for each in shelf.wanted])}
    tasks = [by_key.get(each.key) for each in shelf.wanted]
    asked = bool(tasks) and all(task is not None for task in tasks)
    return Compared(
        shelf,
        asked,
        standing(list(by_key.values())),
        tuple(_curve(ledger, task) for task in tasks),
    )


def ask_curves(ledger: Ledger, shelf: Shelf, who: str) -> None:
    """Ask for the curves of a shelf; what is known already is not worked out again.

    Raises
    ------
    Refusal
        The engine is not known, or it is not stated how it breathes.
    """
    if not shelf.wanted:
        raise Refusal(shelf.why_not)
    ledger.queue.ask(shelf.wanted, who)


def stop_curves(ledger: Ledger, shelf: Shelf) -> None:
    """Stop working out what is not done yet."""
    ledger.queue.stop([each.key for each in shelf.wanted])


def _curve(ledger: Ledger, task: Task | None) -> Curve | None:
    if task is None or task.state != DONE or task.result is None:
        return None
    return kept_curve(ledger.shop, task.task, task.result)


def _job_shelf(ledger: Ledger, job: Job) -> Shelf:
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
    variants = (variant,) * len(cards)
    if not variant:
        return Shelf(cards, variants, (), "Which variant of the engine stands there is not known yet.")
    try:
        wanted = tuple(wanted_curve(ledger.shop, variant, card.cam) for card in cards)
    except BadInput as error:
        return Shelf(cards, variants, (), str(error))
    return Shelf(cards, variants, wanted, "")


def _ratio(described: Described) -> float:
    return described.engine.intake.rocker_ratio


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
