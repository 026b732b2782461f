"""Times two pieces of work side by side, in alternating pairs, and prints what came out as a short table."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from resource import RUSAGE_CHILDREN, getrusage
from statistics import median
from time import process_time
from typing import Any

#: Every random choice of a benchmark is drawn from this.
SEED = 20260302

Work = Callable[[], Any]


@dataclass(frozen=True, slots=True)
class Size:
    """How much is measured: rounds of a pair, parts of a large catalogue, calls of a function, plans."""

    rounds: int
    parts: int
    calls: int
    combinations: int


FULL = Size(rounds=7, parts=100_000, calls=1_000, combinations=10_000)
TINY = Size(rounds=1, parts=400, calls=2, combinations=40)


class NotHere(RuntimeError):
    """A reference that is not installed: which, and how to get it."""

    def __init__(self, reference: str, advice: str) -> None:
        self.reference = reference
        super().__init__(f"not measured, for {reference} is not here: {advice}")


@dataclass(frozen=True, slots=True)
class Pair:
    """One measurement: seconds of every round, of ours and of the reference, and what is worth saying."""

    name: str
    reference: str
    seconds: tuple[float, ...]
    reference_seconds: tuple[float, ...]
    note: str = ""

    @property
    def ratio(self) -> float:
        """The median, over the rounds, of ours to the reference."""
        return median(a / b for a, b in zip(self.seconds, self.reference_seconds, strict=True))


def pair(
    name: str,
    work: Work,
    reference_name: str,
    reference: Work,
    rounds: int,
    calls: int = 1,
    note: str = "",
    whole_processes: bool = False,
) -> Pair:
    """Time work and reference in turn; in every other round the reference comes first.

    The clock is processor time, so that what else runs on the machine counts little; of whole processes
    it is that of the children. As in the standard library's ``timeit``, the garbage collector rests.
    """
    clock = _children if whole_processes else process_time
    seconds: list[float] = []
    reference_seconds: list[float] = []
    both = [(work, seconds), (reference, reference_seconds)]
    for number in range(rounds):
        for timed, kept in both if number % 2 == 0 else reversed(both):
            kept.append(_time(timed, calls, clock))
    return Pair(name, reference_name, tuple(seconds), tuple(reference_seconds), note)


def _children() -> float:
    """Processor seconds of all child processes that have ended."""
    spent = getrusage(RUSAGE_CHILDREN)
    return spent.ru_utime + spent.ru_stime


def _time(work: Work, calls: int, clock: Callable[[], float]) -> float:
    """Seconds of one call."""
    gc.collect()
    gc.disable()
    try:
        start = clock()
        for _ in range(calls):
            work()
        return (clock() - start) / calls
    finally:
        gc.enable()


def show(pairs: Iterable[Pair]) -> None:
    """Print measurements as they come, a line each."""
    print(f"{'':34}{'least':>10}{'median':>10}   {'reference':34}{'least':>10}{'median':>10}{'ratio':>9}")
    for each in pairs:
        print(
            f"{each.name:34}{_span(each.seconds)}   {each.reference:34}{_span(each.reference_seconds)}"
            f"{each.ratio:9.3g}",
            flush=True,
        )
        if each.note:
            print(f"    {each.note}", flush=True)


def _span(seconds: tuple[float, ...]) -> str:
    return f"{_text(min(seconds)):>10}{_text(median(seconds)):>10}"


def _text(seconds: float) -> str:
    for unit, scale in (("s", 1.0), ("ms", 1e3)):
        if seconds * scale >= 1:
            return f"{seconds * scale:.3g} {unit}"
    return f"{seconds * 1e6:.3g} us"
