"""Every outside check by its id: within its tolerance, as printed, and with no classic mistake."""

from __future__ import annotations

import pytest

from tests.checks.binding import Adapter, adapters
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


def test_every_result_of_every_check_is_bound() -> None:
    bound = {(name, key) for name, adapter in adapters().items() for key in adapter.outputs}
    every = {(name, key) for name, check in checks().items() for key in check.expected}
    assert sorted(every - bound) == [], "no adapter binds them"
    assert sorted(bound - every) == [], "an adapter binds what no check asks for"


def test_adapters_know_the_mistakes_of_their_check_and_no_other() -> None:
    for name, adapter in adapters().items():
        wanted = {mistake.what for mistake in adapter.check.mistakes}
        assert adapter.mistakes.keys() == wanted, name
