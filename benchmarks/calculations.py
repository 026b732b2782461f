"""A registered calculation by name, beside the bare function of the handbook, and beside plain arithmetic."""

from __future__ import annotations

from collections.abc import Iterator

from benchmarks.pairs import Pair, Size, pair
from tappetry.calculations.registry import get, run

NAMES = ("seat-load", "lift-at-valve", "static-compression-ratio", "intake-piston-to-valve")


def measure(size: Size) -> Iterator[Pair]:
    for name in NAMES:
        calculation = get(name)
        inputs = dict(calculation.example)
        assert len(run(name, inputs)) == len(calculation.outputs)
        yield pair(
            name,
            lambda name=name, inputs=inputs: run(name, inputs),
            "the bare function",
            lambda function=calculation.function, inputs=inputs: function(**inputs),
            size.rounds,
            size.calls,
        )
    seat = dict(get("seat-load").example)
    squeeze = seat["reference_height"] - seat["installed_height"]
    expected = seat["reference_load"] + seat["spring_rate"] * squeeze
    assert abs(run("seat-load", seat)["seat_load"] - expected) < 1e-9 * expected
    yield pair(
        "seat-load",
        lambda: run("seat-load", seat),
        "plain arithmetic, no ranges",
        lambda: (
            seat["reference_load"]
            + seat["spring_rate"] * (seat["reference_height"] - seat["installed_height"])
        ),
        size.rounds,
        size.calls,
    )
