"""What a search found, in words: every goal has them, in whatever units a person reads."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from tappetry.presentation.charts.chart import svg
from tappetry.presentation.charts.searched import MOST_NAMES, front_chart
from tappetry.presentation.measures import INCH, METRIC, Measures
from tappetry.presentation.searched import FACTORS, HEADINGS, NAMES, TITLES, known, shown_in
from tappetry.search.goals import Figures, Goal, score
from tappetry.search.turning import Turned
from tappetry.services.search import Weighed
from tappetry.services.search_cams import Camshaft

CARD = {"name": "a card"}
FIGURES = Figures(torque=450.0, power=270e3, vacuum=55e3, knock=0.05, fuel=7e-8, roughness=0.06, stall=12.0)


def searched(front: int, beaten: int, goals: tuple[Goal, ...] = (Goal.TORQUE, Goal.VACUUM)) -> Any:
    """Camshafts of which each has less vacuum and more torque than the one before."""
    every = [
        Weighed(
            Camshaft(f"X{number}", CARD, {}),
            Turned((), None),
            replace(FIGURES, torque=400.0 + number, vacuum=60e3 - 1e3 * number),
        )
        for number in range(front + beaten)
    ]
    return SimpleNamespace(
        job="J", wish=SimpleNamespace(goals=goals), front=every[:front], beaten=every[front:]
    )


def weighed(goal: Goal) -> Weighed:
    best = score(goal, FIGURES)
    ends = {goal: best - 0.1 * abs(best)}
    return Weighed(Camshaft("X1", CARD, {}), Turned((), None), FIGURES, ends, {goal: best})


@pytest.mark.parametrize("goal", Goal)
@pytest.mark.parametrize("measures", [METRIC, INCH], ids=["metric", "inch"])
def test_every_goal_is_told_with_its_unit_and_its_worst(goal: Goal, measures: Measures) -> None:
    assert TITLES[goal]
    assert NAMES[goal]
    value, worst = shown_in(weighed(goal), goal, measures)
    assert value != worst
    for said in (value, worst):
        assert said.split(" ")[-1], "a figure stands with its unit"
        float(said.split(" ")[0].replace(",", ""))


@pytest.mark.parametrize("goal", Goal)
def test_a_score_leads_back_to_the_figure(goal: Goal) -> None:
    assert score(goal, FIGURES) * FACTORS[goal] == pytest.approx(known(goal, FIGURES))
    assert HEADINGS[goal].rsplit(" ", 1)[1]


@pytest.mark.parametrize(
    ("measures", "said"), [(METRIC, "450 N·m (332 lb·ft)"), (INCH, "332 lb·ft (450 N·m)")]
)
def test_torque_is_told_in_both_units(measures: Measures, said: str) -> None:
    assert shown_in(weighed(Goal.TORQUE), Goal.TORQUE, measures)[0] == said


@pytest.mark.parametrize(
    ("front", "beaten", "named"),
    [(2, 2, {"X0", "X1", "X2", "X3"}), (2, MOST_NAMES, {"X0", "X1"}), (MOST_NAMES + 1, 0, set())],
)
def test_camshafts_of_a_front_are_named_as_far_as_there_is_room(
    front: int, beaten: int, named: set[str]
) -> None:
    chart = front_chart(searched(front, beaten))
    assert {row[-1] for row in chart.rows} - {None} == named
    drawn = svg(chart)
    assert {f"X{number}" for number in range(front + beaten) if f">X{number}<" in drawn} == named
    assert "mean torque [N·m]" in drawn
