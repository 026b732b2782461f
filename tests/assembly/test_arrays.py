"""Many engines at once come to what each of them comes to alone, by the shop's own language."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

import numpy as np
import pytest

from tappetry.assembly.arrays import Arrays
from tappetry.assembly.values import Values
from tappetry.jobs.reader import read_job
from tappetry.knowledge.language import Unknown, compile_expression
from tappetry.knowledge.syntax import NotInGrammar
from tappetry.records.problems import Where
from tappetry.services.kits import KitResult, kit_for_job
from tappetry.services.shop import Shop, demo_folder

JOBS = tuple(sorted(file.stem for file in (demo_folder() / "jobs").glob("*.yaml")))
ENGINES = 5


@cache
def result_of(job: str) -> KitResult:
    shop = Shop(demo_folder())
    return kit_for_job(shop, read_job(shop.jobs / f"{job}.yaml", shop.knowledge))


def drawn(result: KitResult) -> dict[str, np.ndarray[Any, np.dtype[np.float64]]]:
    """Every length, angle, load and ratio of engine and parts, a little off in each of several engines."""
    values, views = result.resolution.values, result.resolution.views
    generator = np.random.default_rng(20260302)
    many = {}
    for root in ("engine", *views):
        view: Mapping[str, Any] = values.fixed.get(root, views.get(root, {}))
        for member, value in view.items():
            if isinstance(value, float) and value not in {0.0, 1.0} and not value.is_integer():
                many[f"{root}.{member}"] = value * generator.uniform(0.99, 1.01, ENGINES)
    return many


def alone(result: KitResult, many: Mapping[str, Any], number: int) -> tuple[Values, dict[str, Any]]:
    """One of the engines as values and views of its own."""
    values, views = result.resolution.values, result.resolution.views
    fixed = {name: dict(view) if isinstance(view, Mapping) else view for name, view in values.fixed.items()}
    slots = {name: dict(view) for name, view in views.items()}
    for name, all_values in many.items():
        root, _, member = name.partition(".")
        (fixed if root in fixed else slots)[root][member] = float(all_values[number])
    return Values(values.knowledge, fixed), slots


@pytest.mark.slow
@pytest.mark.parametrize("job", JOBS)
def test_every_proof_of_many_engines_is_that_of_each_alone(job: str) -> None:
    result = result_of(job)
    many = drawn(result)
    arrays = Arrays(result.resolution.values, result.resolution.views, many)
    seen = 0
    for rule in result.resolution.values.knowledge.proofs.values():
        for expression in (rule.value, rule.at_least, rule.at_most):
            if expression is None or not arrays.leaves(expression):
                continue
            try:
                together = np.broadcast_to(arrays.number(expression), (ENGINES,))
            except Unknown:
                with pytest.raises(Unknown):
                    alone(result, many, 0)[0].number(expression, result.resolution.views)
                continue
            for number in range(ENGINES):
                values, views = alone(result, many, number)
                expected = values.number(expression, views)
                assert together[number] == pytest.approx(expected, rel=1e-9, abs=1e-9), expression.text
                seen += 1
    assert seen > 10 * ENGINES


@pytest.mark.parametrize("job", JOBS)
def test_a_calculation_is_worked_out_for_those_alone_that_differ(job: str) -> None:
    result = result_of(job)
    names = ("engine.stroke_mm", "engine.valve_drop_intake_in")
    base = {name: result.resolution.values.fixed["engine"][name.partition(".")[2]] for name in names}
    many = {name: np.full(ENGINES, value) for name, value in base.items()}
    many[names[0]][1] += 1.0
    many[names[1]][3] -= 0.01
    rows = {names[0]: np.array([1]), names[1]: np.array([3])}
    few, all_ = (
        Arrays(result.resolution.values, result.resolution.views, many, which) for which in (rows, None)
    )
    assert few.named("pv_intake_in") == pytest.approx(all_.named("pv_intake_in"), abs=1e-15)
    assert len(set(np.round(few.named("pv_intake_in"), 9))) == 3
    assert set(few.calculated()) == {"pv_intake_in"}


@pytest.mark.parametrize(
    "text",
    [
        "engine.bore_mm > 100 ? 1 : engine.stroke_mm < 90 ? 2 : 3",
        "engine.bore_mm > 95 && engine.stroke_mm > 85 ? 1 : 0",
        "engine.bore_mm > 100 || engine.stroke_mm > 85 ? 1 : 0",
        "has(engine.nothing) && engine.nothing > 3 ? 1 : engine.bore_mm",
        "engine.cam_drive == 'chain' || engine.nothing > 3 ? engine.bore_mm : 0",
        "engine.nothing > 3 || engine.cam_drive != '' ? engine.bore_mm : 0",
        "!(engine.bore_mm > 100) ? -engine.bore_mm / 2 : 7",
        "plan.use in ['daily', 'tow'] ? engine.bore_mm : 1",
        "engine.lifter_type.contains('roller') ? ceil(engine.bore_mm) : floor(engine.bore_mm)",
        "round(engine.bore_mm / 0.5) * 0.5 + abs(engine.stroke_mm - 90) + cos(engine.bore_mm)",
    ],
)
def test_the_words_of_the_language(text: str) -> None:
    result = result_of(JOBS[0])
    many = {
        "engine.bore_mm": np.linspace(94.3, 103.9, ENGINES),
        "engine.stroke_mm": np.linspace(92.1, 84.2, ENGINES),
    }
    expression = compile_expression(text, Where("test"))
    together = Arrays(result.resolution.values, result.resolution.views, many).number(expression)
    expected = []
    for number in range(ENGINES):
        values, views = alone(result, many, number)
        expected.append(values.number(expression, views))
    assert np.broadcast_to(together, (ENGINES,)) == pytest.approx(expected, rel=1e-12)


def test_what_nobody_has_stated_is_unknown_of_many_engines_too() -> None:
    result = result_of(JOBS[0])
    many = {"engine.bore_mm": np.linspace(94.0, 104.0, ENGINES)}
    arrays = Arrays(result.resolution.values, result.resolution.views, many)
    with pytest.raises(Unknown) as error:
        arrays.number(compile_expression("engine.bore_mm + engine.nothing", Where("test")))
    assert (error.value.root, error.value.key) == ("engine", "nothing")


def test_a_word_that_is_not_known_is_told() -> None:
    result = result_of(JOBS[0])
    many = {"engine.bore_mm": np.linspace(94.0, 104.0, ENGINES)}
    arrays = Arrays(result.resolution.values, result.resolution.views, many)
    loop = compile_expression("[1.0, 2.0].exists(x, x > engine.bore_mm) ? 1 : 0", Where("test"))
    with pytest.raises(NotInGrammar):
        arrays.number(loop)
