"""Every benchmark runs once at a tiny size, lest it be found broken when it is wanted; no time is held."""

from __future__ import annotations

import gc
import re
from dataclasses import replace
from decimal import Decimal
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

import benchmarks
from benchmarks import __main__ as door
from benchmarks import calculations, kit_demo, shock_tube
from benchmarks.__main__ import NAMES, main
from benchmarks.demo_shop import shop
from benchmarks.large_catalogue import large_catalogue
from benchmarks.pairs import SEED, TINY, NotHere, Pair, pair, show
from tappetry.kitting.resolve import Resolution

#: They work whole jobs.
LONG = {
    "kit_demo",
    "kit_large",
    "variants",
    "compare",
    "ask",
    "why_not",
    "conflict",
    "checker",
    "identify",
    "quote_pdf",
    "startup",
    "first_page",
    "proofs",
    "pipe",
    "shock_tube",
    "engine_cycle",
    "first_point",
    "valve_train",
    "search",
    "pages",
    "combinations",
}
ROOT = Path(benchmarks.__file__).parents[1]


@pytest.fixture(autouse=True)
def _nothing_to_collect() -> None:
    """Garbage is collected before each timing: what other tests have made is not looked through again."""
    gc.freeze()


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.slow) if name in LONG else name for name in NAMES]
)
def test_a_benchmark_measures_both_sides(name: str) -> None:
    """What a benchmark says of its two sides, that they answer alike, is asserted by itself as it runs."""
    try:
        measured = list(import_module(f"benchmarks.{name}").measure(TINY))
    except NotHere as missing:
        pytest.skip(str(missing))
    assert measured
    for each in measured:
        assert len(each.seconds) == len(each.reference_seconds) == TINY.rounds
        assert min(*each.seconds, *each.reference_seconds) > 0
        assert each.name
        assert each.reference


def test_every_benchmark_is_listed_and_explained() -> None:
    modules = {
        file.stem for file in (ROOT / "benchmarks").glob("*.py") if "def measure(" in file.read_text("utf-8")
    }
    assert modules == set(NAMES)
    page = (ROOT / "docs" / "reference" / "benchmarks.md").read_text(encoding="utf-8")
    assert tuple(re.findall(r"^### (\w+)$", page, re.MULTILINE)) == NAMES


@pytest.mark.slow
def test_a_benchmark_whose_sides_differ_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    true = calculations.run
    monkeypatch.setattr(
        calculations, "run", lambda *asked: {name: 1.001 * value for name, value in true(*asked).items()}
    )
    with pytest.raises(AssertionError):
        list(calculations.measure(TINY))


@pytest.mark.slow
def test_a_kit_that_costs_a_cent_more_than_the_reference_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    true = kit_demo.resolve

    def dearer(*asked: Any) -> Resolution:
        found = true(*asked)
        return replace(found, kit=replace(found.kit, landed_cost=found.kit.landed_cost + Decimal("0.01")))

    monkeypatch.setattr(kit_demo, "resolve", dearer)
    with pytest.raises(AssertionError) as told:
        next(kit_demo.measure(TINY))
    ours, reference = told.value.args[0]
    assert ours - reference == Decimal("0.01")


@pytest.mark.slow
def test_those_that_are_named_are_measured(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(door, "FULL", TINY)
    assert main(["piston_to_valve", "calculations"]) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0] == f"seed {SEED}; 1 alternating pairs each; times are those of one call"
    assert [line for line in said if line in NAMES] == ["piston_to_valve", "calculations"]


@pytest.mark.slow
def test_work_and_reference_are_timed_in_turn() -> None:
    calls: list[str] = []
    measured = pair("work", lambda: calls.append("work"), "other", lambda: calls.append("other"), rounds=3)
    assert calls == ["work", "other", "other", "work", "work", "other"]
    assert len(measured.seconds) == 3


def test_the_ratio_is_the_median_over_the_rounds(capsys: pytest.CaptureFixture[str]) -> None:
    measured = Pair("work", "other", (1.0, 6.0, 2.0), (1.0, 2.0, 1.0))
    assert measured.ratio == 2.0
    show([measured])
    assert capsys.readouterr().out.splitlines()[1].split() == [
        "work",
        "1",
        "s",
        "2",
        "s",
        "other",
        "1",
        "s",
        "1",
        "s",
        "2",
    ]


def test_a_large_catalogue_is_drawn_alike_each_time() -> None:
    small = shop().catalogue
    first, second = (large_catalogue(small, 1_000, SEED) for _ in range(2))
    assert first.parts == second.parts
    assert len(first.parts) == 1_000
    assert first.parts[: len(small.parts)] == small.parts
    identities = {(part.supplier, part.number) for part in first.parts}
    assert len(identities) == len(first.parts)


def test_a_name_that_is_no_benchmark_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["kit_tiny"]) == 2
    assert "there is no benchmark kit_tiny; there are: kit_demo, kit_large" in capsys.readouterr().err


def test_a_reference_that_is_not_installed_is_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(shock_tube, "PYTHON", ROOT / "nowhere" / "python")
    assert main(["shock_tube"]) == 0
    assert "not measured, for PyClaw is not here: scripts/pyclaw makes" in capsys.readouterr().out
