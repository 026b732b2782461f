"""The identification of the ten invented vehicles, beside the solve of one kit."""

from __future__ import annotations

from collections.abc import Iterator

from benchmarks.demo_shop import jobs, question, shop
from benchmarks.pairs import Pair, Size, pair
from tappetry.kitting.resolve import resolve
from tappetry.services.trials import trials


def measure(size: Size) -> Iterator[Pair]:
    asked = question(next(jobs()))
    found = trials(shop())
    assert not [failure for trial in found for failure in trial.failures()]
    yield pair(
        f"{len(found)} vehicles identified",
        lambda: trials(shop()),
        f"the solve of {asked.job.id}",
        lambda: resolve(asked.request, asked.facts),
        size.rounds,
    )
