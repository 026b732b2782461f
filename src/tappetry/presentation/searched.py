"""What a search found, as data and in the units of a person."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from tappetry.presentation.measures import Measures
from tappetry.quantities.units import to_si
from tappetry.search.goals import Figures, Goal, score
from tappetry.services.curves import plain_point
from tappetry.services.search import Searched, Weighed
from tappetry.services.search_cams import SIDES, STEEPNESS

TITLES = {
    Goal.TORQUE: "much torque over the whole band",
    Goal.POWER: "much power at its peak",
    Goal.VACUUM: "much vacuum at idle",
    Goal.ROUGHNESS: "an even idle",
    Goal.STALL: "a launch as with the factory's camshaft",
    Goal.KNOCK: "far from knock",
    Goal.FUEL: "little fuel",
}
"""What a person wants who names a goal."""
HEADINGS = {
    Goal.TORQUE: "mean torque N.m",
    Goal.POWER: "most power kW",
    Goal.VACUUM: "vacuum kPa",
    Goal.ROUGHNESS: "uneven %",
    Goal.STALL: "stall shift rpm",
    Goal.KNOCK: "late deg",
    Goal.FUEL: "fuel g/kWh",
}
FACTORS = {
    Goal.TORQUE: 1.0,
    Goal.POWER: 1e-3,
    Goal.VACUUM: 1e-3,
    Goal.ROUGHNESS: -100.0,
    Goal.STALL: 30.0 / math.pi,
    Goal.KNOCK: -180.0 / math.pi,
    Goal.FUEL: -3.6e9,
}
"""From a score, the more the better, to the number that a person knows."""
NAMES = {
    Goal.TORQUE: "mean_torque_nm",
    Goal.POWER: "most_power_kw",
    Goal.VACUUM: "vacuum_kpa",
    Goal.ROUGHNESS: "roughness_percent",
    Goal.STALL: "stall_shift_rpm",
    Goal.KNOCK: "retarded_deg",
    Goal.FUEL: "fuel_g_per_kwh",
}


SPECIFIED = {
    "duration_050_intake_deg": "intake duration at 0.050 in, degrees of the crank",
    "duration_050_exhaust_deg": "exhaust duration at 0.050 in, degrees of the crank",
    "lobe_lift_intake_in": "intake lobe lift, in",
    "lobe_lift_exhaust_in": "exhaust lobe lift, in",
    "lsa_deg": "separation of the lobes, degrees of the cam",
    "icl_deg": "intake centreline as installed, degrees of the crank",
    STEEPNESS: "duration at 0.006 in less that at 0.050 in, degrees of the crank",
}
"""What is free in a camshaft to be ground, in words."""
KINDS = {Goal.TORQUE: "torque", Goal.POWER: "power", Goal.VACUUM: "pressure"}
"""Goals that the trade reads in both units; scores of them are in SI."""


def known(goal: Goal, found: Figures) -> float | None:
    """A figure in the unit of its heading."""
    values: dict[Goal, float | None] = {
        Goal.TORQUE: found.torque,
        Goal.POWER: found.power * 1e-3,
        Goal.VACUUM: None if found.vacuum is None else found.vacuum * 1e-3,
        Goal.ROUGHNESS: None if found.roughness is None else found.roughness * 100.0,
        Goal.STALL: None if found.stall is None else found.stall * 30.0 / math.pi,
        Goal.KNOCK: math.degrees(found.knock),
        Goal.FUEL: found.fuel * 3.6e9,
    }
    return values[goal]


def shown(each: Weighed, goal: Goal) -> str:
    """A figure, and in brackets its worst within the tolerances."""
    value = known(goal, each.figures)
    said = "none" if value is None else f"{value:.1f}"
    return f"{said} ({_end(each.less[goal], goal):.1f})" if _told(each, goal) else said


def shown_in(each: Weighed, goal: Goal, measures: Measures) -> tuple[str, str]:
    """A figure in the units of a person, and its worst within the tolerances, each with its unit."""
    if goal not in KINDS:
        unit = HEADINGS[goal].rsplit(" ", 1)[1]
        value = known(goal, each.figures)
        said = "none" if value is None else f"{value:.1f} {unit}"
        return said, f"{_end(each.less[goal], goal):.1f} {unit}" if _told(each, goal) else ""
    best = score(goal, each.figures)
    said = measures.both(best, KINDS[goal]) if math.isfinite(best) else "none"
    return said, measures.said(each.less[goal], KINDS[goal]) if _told(each, goal) else ""


def specification_rows(card: Mapping[str, Any], measures: Measures) -> tuple[tuple[str, str], ...]:
    """A camshaft to be ground as its grinder wants it, in words and numbers; lifts in both units."""
    told = []
    for name, title in SPECIFIED.items():
        if name == STEEPNESS:
            continue
        words, _, unit = title.rpartition(", ")
        value = float(card[name])
        lift = name.startswith("lobe_lift")
        told.append(
            (
                words[0].upper() + words[1:],
                measures.both(to_si(value, "in", "length"), "length") if lift else f"{value:g} {unit}",
            )
        )
    for side in SIDES:
        seat = float(card[f"duration_006_{side}_deg"])
        told.append((f"{side.capitalize()} duration at 0.006 in", f"{seat:g} degrees of the crank"))
    told.append(("Exhaust centreline", f"{float(card['ecl_deg']):g} degrees of the crank"))
    return tuple(told)


def _told(each: Weighed, goal: Goal) -> bool:
    return goal in each.less and math.isfinite(each.less[goal])


def _end(score: float, goal: Goal) -> float:
    return score * FACTORS[goal]


def searched_data(found: Searched) -> dict[str, Any]:
    """All of a search, with full curves in SI and what it was made with."""
    return {
        "job": found.job,
        "engine": found.variant,
        "goals": [goal.value for goal in found.wish.goals],
        "front": [_weighed(each, found) for each in found.front],
        "beaten": [_weighed(each, found) for each in found.beaten],
        "excluded": [{"cam": each.camshaft.name, "why": each.why} for each in found.excluded],
        "specifications_out": found.not_ground,
        "made_with": dict(found.made_with),
    }


def _weighed(each: Weighed, found: Searched) -> dict[str, Any]:
    return {
        "cam": each.camshaft.name,
        "card": dict(each.camshaft.card),
        "specification": dict(each.camshaft.specification),
        **{NAMES[goal]: known(goal, each.figures) for goal in Goal},
        "within_tolerance": {
            NAMES[goal]: {"worst": _end(each.less[goal], goal), "best": _end(each.more[goal], goal)}
            for goal in found.wish.goals
            if _told(each, goal)
        },
        "points": [plain_point(point) for point in each.turned.points],
        "idle": None if each.turned.idle is None else plain_point(each.turned.idle),
    }
