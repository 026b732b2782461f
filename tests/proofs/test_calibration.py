"""Chances are what they say: as many of thousands of drawn engines fail as was predicted.

The engines are drawn by another generator than the program's, and worked out one calculation at a time with
nothing left out: no slopes, no curves. Limits are moved about each value, so that all chances are met.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from tappetry.assembly.arrays import Arrays
from tappetry.assembly.values import Values
from tappetry.knowledge.language import compile_expression
from tappetry.knowledge.model import ProofRule
from tappetry.proofs.doubt import with_doubt
from tappetry.quantities.tolerance import Spread
from tappetry.records.problems import Where
from tappetry.records.verdict import Proof, Verdict
from tests.proofs.engines import JOBS, inputs_off, leaves_of, result_of, shop

pytestmark = pytest.mark.slow

#: Where a limit is put: so many standard deviations of the margin below the value.
PLACES = (-2.0, -1.0, -0.3, 0.0, 0.5, 1.0, 1.5, 2.0, 2.5)


def drawn(job: str, count: int) -> Arrays:
    """Engines that differ from the stated one in all that may be off."""
    result = result_of(job)
    generator = np.random.default_rng(20260302)
    many = {}
    for name, leaf in inputs_off(result).items():
        spread = leaf.spread
        assert spread is not None
        if spread.spread is Spread.LIMITS:
            low, high = spread.nominal - spread.minus, spread.nominal + spread.plus
            many[name] = generator.uniform(low, high, count)
        else:
            many[name] = generator.normal(spread.nominal, spread.plus, count)
    return Arrays(result.resolution.values, result.resolution.views, many)


def moved(rule: ProofRule, proof: Proof, place: float) -> ProofRule:
    """A proof with its limit so many standard deviations below what keeps it."""
    assert proof.doubt is not None
    assert proof.value is not None
    sign = 1.0 if rule.at_least is not None else -1.0
    limit = compile_expression(f"{proof.value - sign * place * proof.doubt.uncertainty:.17g} + 0", Where("x"))
    return replace(
        rule,
        at_least=limit if sign > 0 else None,
        at_most=None if sign > 0 else limit,
    )


def predictions(job: str, place: float) -> Iterator[tuple[ProofRule, float]]:
    """Every proof of a job with a moved limit, and the chance that is predicted for it."""
    result = result_of(job)
    values, views = result.resolution.values, result.resolution.views
    proofs = [
        proof
        for proof in with_doubt(values, views, result.kit.proofs, leaves_of(result))
        if proof.doubt is not None and proof.doubt.uncertainty > 0
    ]
    rules = {proof.id: moved(shop().knowledge.proofs[proof.id], proof, place) for proof in proofs}
    knowledge = replace(shop().knowledge, proofs=rules)
    asked = [Proof(proof.id, proof.title, Verdict.PASS, proof.unit, margin=0.0) for proof in proofs]
    for proof in with_doubt(Values(knowledge, values.fixed), views, asked, leaves_of(result)):
        assert proof.chance_of_failing is not None
        yield rules[proof.id], proof.chance_of_failing


def calibrated(job: str, count: int, slack: float) -> None:
    engines = drawn(job, count)
    seen, worst = 0, (0.0, "")
    for place in PLACES:
        for rule, predicted in predictions(job, place):
            value = np.broadcast_to(engines.number(rule.value), (count,))
            low = -math.inf if rule.at_least is None else engines.number(rule.at_least)
            high = math.inf if rule.at_most is None else engines.number(rule.at_most)
            observed = 1.0 - float(((value >= low - 1e-9) & (value <= high + 1e-9)).mean())
            off = abs(predicted - observed) - 4.0 * math.sqrt(predicted * (1 - predicted) / count)
            worst = max(worst, (off, f"{rule.id} at {place}: {predicted:.4f}, observed {observed:.4f}"))
            seen += 1
    assert seen >= 10 * len(PLACES)
    assert worst[0] <= slack, worst


@pytest.mark.parametrize("job", JOBS)
def test_of_forty_thousand_engines_as_many_fail_as_was_predicted(job: str) -> None:
    """To a hundredth and a half: means that curvature moves are not in what is predicted."""
    calibrated(job, 40_000, 0.014)
