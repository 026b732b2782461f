"""How far a fact may be off is kept as it was stated with it: limits, or one standard deviation."""

from __future__ import annotations

from pathlib import Path

import pytest

from tappetry.jobs.reader import read_job
from tappetry.quantities.tolerance import Origin, Spread
from tappetry.records.evidence import Fact
from tappetry.records.problems import BadInput
from tappetry.services.shop import Shop, demo_folder

HEAD = 'job: T1\ndate: "2026-03-02"\nplan: {cam: B1}\n'


def facts_of(place: Path, text: str) -> dict[str, Fact]:
    file = place / "T1.yaml"
    file.write_text(HEAD + text, encoding="utf-8")
    return {fact.attribute: fact for fact in read_job(file, Shop(demo_folder()).knowledge).facts}


@pytest.mark.parametrize(
    ("written", "plus", "minus"),
    [
        ("1.800 in ±0.005", 0.005, 0.005),
        ("1.800 ±0.005 in", 0.005, 0.005),
        ("1.800 in +0.005/-0.015", 0.005, 0.015),
    ],
)
def test_limits_stand_with_the_value(tmp_path: Path, written: str, plus: float, minus: float) -> None:
    for text in (
        f"facts:\n  installed-height: {{value: {written}, grade: measured}}\n",
        f"facts: {{}}\nmeasurements:\n  installed-height: {written}\n",
    ):
        fact = facts_of(tmp_path, text)["installed-height"]
        assert fact.tolerance is not None
        assert fact.tolerance.nominal == pytest.approx(1.8 * 0.0254)
        assert fact.tolerance.plus == pytest.approx(plus * 0.0254)
        assert fact.tolerance.minus == pytest.approx(minus * 0.0254)
        assert (fact.tolerance.spread, fact.tolerance.origin) == (Spread.LIMITS, Origin.STATED)
        assert fact.show() == written


def test_readings_have_one_standard_deviation(tmp_path: Path) -> None:
    text = "facts:\n  bore: {value: 4.000 in, grade: measured, spread: 0.02 mm}\n"
    fact = facts_of(tmp_path, text)["bore"]
    assert fact.tolerance is not None
    assert fact.tolerance.spread is Spread.STANDARD_DEVIATION
    assert fact.tolerance.plus == fact.tolerance.minus == pytest.approx(0.02e-3)


def test_a_value_alone_states_no_tolerance(tmp_path: Path) -> None:
    facts = facts_of(
        tmp_path, "facts:\n  bore: {value: 96.0 mm, grade: seen}\n  era: {value: 1, grade: seen}\n"
    )
    assert [fact.tolerance for fact in facts.values()] == [None, None]


@pytest.mark.parametrize(
    ("fact", "message"),
    [
        ("bore: {value: 96 mm ±0.1, grade: seen, spread: 0.1 mm}", "one of them is enough"),
        ("block-casting: {value: 4417-A, grade: seen, spread: 0.1 mm}", "takes no spread"),
        ("bore: {value: 96 mm, grade: seen, spread: 0.1 kg}", "'kg'"),
    ],
)
def test_a_spread_that_makes_no_sense_is_told(tmp_path: Path, fact: str, message: str) -> None:
    with pytest.raises(BadInput) as error:
        facts_of(tmp_path, f"facts:\n  {fact}\n")
    (told,) = error.value.complaints
    assert message in told.message
    assert (told.where.file, told.where.line) == ("T1.yaml", 5)
