"""Every benchmark runs once at a tiny size, lest it be found broken when it is wanted; no time is held."""

from __future__ import annotations

from importlib import import_module

import pytest

from benchmarks.__main__ import NAMES, main
from benchmarks.demo_shop import shop
from benchmarks.large_catalogue import large_catalogue
from benchmarks.pairs import SEED, TINY, Pair, Size, pair, show


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_a_benchmark_measures_both_sides(name: str) -> None:
    measured = list(import_module(f"benchmarks.{name}").measure(TINY))
    assert measured
    for each in measured:
        assert len(each.seconds) == len(each.reference_seconds) == TINY.rounds
        assert each.name
        assert each.reference


def test_work_and_reference_are_timed_in_turn() -> None:
    calls: list[str] = []
    measured = pair(
        "work", lambda: calls.append("work"), "other", lambda: calls.append("other"), Size(3, 0, 0).rounds
    )
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
