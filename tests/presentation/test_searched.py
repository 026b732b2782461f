"""What a search found, in words: every goal has them, in whatever units a person reads."""

from __future__ import annotations

import pytest

from tappetry.presentation.measures import INCH, METRIC, Measures
from tappetry.presentation.searched import FACTORS, HEADINGS, NAMES, TITLES, known, shown_in
from tappetry.search.goals import Figures, Goal, score
from tappetry.search.turning import Turned
from tappetry.services.search import Weighed
from tappetry.services.search_cams import Camshaft

FIGURES = Figures(torque=450.0, power=270e3, vacuum=55e3, knock=0.05, fuel=7e-8, roughness=0.06, stall=12.0)
CARD = {"name": "a card"}


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
