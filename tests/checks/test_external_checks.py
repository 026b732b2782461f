"""Every outside check by its id: within its tolerance, as printed, and with no classic mistake."""

from __future__ import annotations

import pytest

from tests.checks.binding import Adapter, adapters, missing
from tests.checks.reading import checks

BOUND = [pytest.param(adapter, id=name) for name, adapter in adapters().items()]
PUBLISHED = [
    pytest.param(adapter, key, id=f"{name}-{key}")
    for name, adapter in adapters().items()
    for key in sorted(adapter.check.published.keys() & adapter.outputs.keys())
]
MISTAKES = [
    pytest.param(adapter, mistake, id=f"{name}-{mistake.what}")
    for name, adapter in adapters().items()
    for mistake in adapter.check.mistakes
    if mistake.key in adapter.outputs
]


def test_there_are_as_many_checks_as_were_read() -> None:
    assert len(checks()) == 144
    assert sum(len(check.mistakes) for check in checks().values()) == 53


@pytest.mark.parametrize("adapter", BOUND)
def test_results_lie_within_the_stated_tolerance(adapter: Adapter) -> None:
    wrong = {
        key: (value, adapter.check.expected[key][0])
        for key, value in adapter.results().items()
        if not adapter.check.agrees(key, value)
    }
    assert wrong == {}


@pytest.mark.parametrize(("adapter", "key"), PUBLISHED)
def test_results_are_what_the_source_prints(adapter: Adapter, key: str) -> None:
    printed, tolerance = adapter.check.published[key]
    assert adapter.results()[key] == pytest.approx(printed, rel=tolerance, abs=0.0)


@pytest.mark.parametrize(("adapter", "mistake"), MISTAKES)
def test_classic_mistakes_lie_outside_the_tolerance(adapter: Adapter, mistake) -> None:
    value = adapter.mistaken(mistake.what)
    assert adapter.check.near(value, mistake.value)
    assert not adapter.check.agrees(mistake.key, value)
    assert not adapter.check.agrees(mistake.key, mistake.value)


def test_nothing_is_neither_bound_nor_listed_as_missing() -> None:
    """`missing.yaml` shrinks to nothing: what is bound may not stand there, what is not has to."""
    bound = {(name, key) for name, adapter in adapters().items() for key in adapter.outputs}
    listed = {(name, key) for name, keys in missing().items() for key in keys}
    every = {(name, key) for name, check in checks().items() for key in check.expected}
    assert sorted(bound - every) == [], "an adapter binds what no check asks for"
    assert sorted(bound & listed) == [], "bound: take it out of missing.yaml"
    assert sorted(every - bound - listed) == [], "neither bound nor listed in missing.yaml"
    assert sorted(listed - every) == []


def test_adapters_know_the_mistakes_of_their_check_and_no_other() -> None:
    for name, adapter in adapters().items():
        wanted = {mistake.what for mistake in adapter.check.mistakes if mistake.key in adapter.outputs}
        assert adapter.mistakes.keys() == wanted, name
