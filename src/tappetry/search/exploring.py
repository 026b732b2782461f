"""Camshafts that lie on no shelf: generation after generation of specifications, by asking and telling.

The strategy is the sorting genetic algorithm NSGA-II of Optuna. A generation is asked for before any of it
is judged and told in its order: who judges, and which is done first, changes nothing. The same seed and the
same judgements give the same specifications, so that a search is taken up again by going through it anew with
the judgements that are kept.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from optuna.trial import Trial

BROKEN = "broken"


@dataclass(frozen=True, slots=True)
class Between:
    """A number that is free between two ends, in steps from the lower one."""

    name: str
    low: float
    high: float
    step: float


@dataclass(frozen=True, slots=True)
class Judged:
    """What a specification is worth.

    Attributes
    ----------
    scores : tuple of float
        The more the better; empty where a limit is broken.
    broken : float
        By how much limits are broken: 0 where all hold; the less the nearer. [1]
    """

    scores: tuple[float, ...]
    broken: float


Specification = Mapping[str, float]
Judge = Callable[[Sequence[Specification]], Sequence[Judged]]


def explore(
    free: Sequence[Between], goals: int, judge: Judge, generation: int, generations: int, seed: int
) -> tuple[Specification, ...]:
    """Ask and tell so many generations; every specification that was asked for, in order.

    Parameters
    ----------
    free : sequence of Between
    goals : int
        Scores of each judgement.
    judge : callable
        Judges one generation, in its order.
    generation, generations : int
        Specifications in each, and how many.
    seed : int
    """
    import optuna

    optuna.logging.set_verbosity(optuna.logging.WARNING)
    sampler = optuna.samplers.NSGAIISampler(population_size=generation, seed=seed)
    study = optuna.create_study(directions=["maximize"] * goals, sampler=sampler)
    asked: list[Specification] = []
    for _ in range(generations):
        trials = [study.ask() for _ in range(generation)]
        wanted = [{each.name: _suggested(trial, each) for each in free} for trial in trials]
        asked += wanted
        for trial, judged in zip(trials, judge(wanted), strict=True):
            trial.set_constraint(BROKEN, judged.broken)
            study.tell(trial, judged.scores if judged.broken <= 0.0 else (0.0,) * goals)
    return tuple(asked)


def _suggested(trial: Trial, each: Between) -> float:
    return trial.suggest_float(each.name, each.low, each.high, step=each.step)
