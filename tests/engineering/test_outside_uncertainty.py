"""Uncertainty against its guide, general-purpose libraries and many random draws; intervals by trial."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from uncertainties import correlated_values, ufloat
from uncertainties.umath import log as unlog

from tappetry.engineering import intervals, tolerance_chain, uncertainty
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import CC, MM

pytestmark = pytest.mark.slow

sizes = st.floats(0.5, 200.0)
doubts = st.floats(0.001, 0.2)

# --- the guide's own example ---

GAUGE_BLOCK = (25.0, 9.7, 2.9, 16.6)  # nm; JCGM 100:2008, example H.1, from memory
FREEDOMS = (18.0, 25.6, 50.0, 2.0)


def test_the_gauge_block_of_the_guide() -> None:
    combined = uncertainty.combined_uncertainty(GAUGE_BLOCK)
    assert combined == pytest.approx(32, abs=0.5)
    effective = uncertainty.freedom(GAUGE_BLOCK, FREEDOMS)
    assert math.floor(effective) == 16
    factor = uncertainty.coverage_factor(0.99, math.floor(effective))
    assert factor == pytest.approx(2.92, abs=0.005)
    assert uncertainty.expanded_uncertainty(combined, factor) == pytest.approx(93, abs=0.6)


def test_limits_that_are_sure_have_endless_freedom() -> None:
    assert uncertainty.freedom((3.0, 4.0), (math.inf, math.inf)) == math.inf
    assert uncertainty.freedom((3.0, 4.0), (10.0, math.inf)) == pytest.approx(625 / (81 / 10))


@pytest.mark.parametrize(
    ("distribution", "divisor"), [("even", 3**0.5), ("triangular", 6**0.5), ("arcsine", 2**0.5)]
)
def test_limits_by_many_draws(distribution: str, divisor: float) -> None:
    """JCGM 100:2008, 4.3.7 and 4.3.9, from memory; and the spread of draws from each distribution."""
    draws = np.random.default_rng(3).uniform(-1.0, 1.0, 200_000)
    spread = {
        "even": draws,
        "triangular": (draws + np.random.default_rng(4).uniform(-1.0, 1.0, 200_000)) / 2,
        "arcsine": np.sin(math.pi * draws),
    }[distribution]
    assert uncertainty.limits_uncertainty(1.0, distribution) == pytest.approx(1 / divisor)
    assert uncertainty.limits_uncertainty(1.0, distribution) == pytest.approx(spread.std(), rel=0.01)


@given(confidence=st.floats(0.5, 0.999), freedom=st.floats(1, 200))
def test_coverage_factors_are_those_of_a_statistics_library(confidence: float, freedom: float) -> None:
    assert uncertainty.coverage_factor(confidence, freedom) == pytest.approx(
        stats.t.ppf((1 + confidence) / 2, freedom), rel=1e-8
    )
    assert uncertainty.coverage_factor(confidence) == pytest.approx(stats.norm.ppf((1 + confidence) / 2))


# --- beside a general-purpose library ---


@given(bore=st.floats(90, 110), stroke=st.floats(80, 105), chamber=st.floats(50, 80), data=st.data())
def test_compression_ratio_agrees_with_a_library_of_uncertainties(
    bore: float, stroke: float, chamber: float, data: st.DataObject
) -> None:
    of_bore, of_stroke = data.draw(st.tuples(st.floats(0.001, 0.05), st.floats(0.001, 0.1)))
    of_chamber, of_other = data.draw(st.tuples(st.floats(0.05, 1.0), st.floats(0.01, 0.5)))
    swept = math.pi / 4 * ufloat(bore, of_bore) ** 2 * ufloat(stroke, of_stroke) / 1000
    theirs = 1 + swept / (ufloat(chamber, of_chamber) + ufloat(19.2, of_other))
    ours = uncertainty.compression_ratio_with_doubt(
        bore * MM,
        stroke * MM,
        chamber * CC,
        19.2 * CC,
        of_bore * MM,
        of_stroke * MM,
        of_chamber * CC,
        of_other * CC,
    )
    assert ours.static_compression_ratio == pytest.approx(theirs.nominal_value)
    assert ours.ratio_uncertainty == pytest.approx(theirs.std_dev, rel=1e-6)


def test_compression_ratio_by_many_draws() -> None:
    draws = np.random.default_rng(11)
    count = 200_000
    bore, stroke = draws.normal(102, 0.01, count), draws.normal(92, 0.02, count)
    ratios = 1 + math.pi / 4 * bore**2 * stroke / 1000 / (draws.normal(64, 0.5, count) + 19.2)
    found = uncertainty.compression_ratio_with_doubt(
        102 * MM, 92 * MM, 64 * CC, 19.2 * CC, 0.01 * MM, 0.02 * MM, 0.5 * CC
    )
    assert found.ratio_uncertainty == pytest.approx(ratios.std(), rel=0.01)


@given(first=doubts, second=doubts, shared=st.floats(-1, 1))
def test_sums_agree_with_a_library_of_uncertainties(first: float, second: float, shared: float) -> None:
    covariance = [[first**2, shared * first * second], [shared * first * second, second**2]]
    one, two = correlated_values([10.0, 20.0], covariance)
    found = uncertainty.sum_uncertainty(first, second, shared)
    assert found.sum_uncertainty == pytest.approx((one + two).std_dev, abs=1e-7)
    assert found.difference_uncertainty == pytest.approx((one - two).std_dev, abs=1e-7)


@given(
    st.lists(st.tuples(sizes, st.sampled_from([-2.0, -1.0, 0.5, 1.0, 3.0]), doubts), min_size=1, max_size=4)
)
def test_products_agree_with_a_library_of_uncertainties(factors: list[tuple[float, float, float]]) -> None:
    values, powers, spreads = zip(*factors, strict=True)
    logs = sum(power * unlog(ufloat(value, spread)) for value, power, spread in factors)
    found = uncertainty.product_uncertainty(values, powers, spreads)
    assert found.product_value == pytest.approx(math.exp(logs.nominal_value), rel=1e-9)
    assert found.product_uncertainty / found.product_value == pytest.approx(logs.std_dev, rel=1e-6)


# --- means ---


@given(st.lists(st.floats(-50, 50), min_size=2, max_size=12))
def test_mean_of_readings(readings: list[float]) -> None:
    found = uncertainty.sample_mean(readings)
    assert found.sample_mean == pytest.approx(np.mean(readings), abs=1e-9)
    assert found.mean_uncertainty == pytest.approx(stats.sem(readings), abs=1e-9)
    assert found.sample_deviation == pytest.approx(np.std(readings, ddof=1), abs=1e-9)


@given(st.lists(st.tuples(sizes, doubts), min_size=2, max_size=8))
def test_weighted_mean_is_a_fit_of_one_constant(pairs: list[tuple[float, float]]) -> None:
    values, spreads = np.array(pairs).T
    matrix = 1.0 / spreads[:, np.newaxis]
    solution, _, _, _ = np.linalg.lstsq(matrix, values / spreads)
    found = uncertainty.weighted_mean(values, spreads)
    assert found.sample_mean == pytest.approx(solution[0])
    assert found.mean_uncertainty == pytest.approx(np.sqrt(np.linalg.inv(matrix.T @ matrix)[0, 0]))
    left = (values - solution[0]) / spreads
    assert found.misfit == pytest.approx(math.sqrt(left @ left / (len(values) - 1)), abs=1e-6)


def test_readings_that_agree_with_their_uncertainties_have_a_misfit_of_one() -> None:
    draws = np.random.default_rng(5)
    spreads = draws.uniform(0.1, 0.5, 400)
    assert uncertainty.weighted_mean(draws.normal(10.0, spreads), spreads).misfit == pytest.approx(
        1.0, abs=0.1
    )


# --- margins ---


def test_the_chance_to_fail_is_what_many_draws_say() -> None:
    draws = np.random.default_rng(9).normal(0.3, 0.2, 400_000)
    assert uncertainty.failing_chance(0.3, 0.2) == pytest.approx((draws < 0).mean(), abs=0.002)
    assert uncertainty.failing_chance(0.0, 0.2) == 0.5


# --- intervals ---

ends = st.floats(-50, 50)
pairs_of_ends = st.tuples(ends, ends).map(sorted)
OPERATIONS: list[tuple[Callable[..., intervals.Interval], Callable[[float, float], float]]] = [
    (intervals.interval_sum, lambda x, y: x + y),
    (intervals.interval_difference, lambda x, y: x - y),
    (intervals.interval_product, lambda x, y: x * y),
    (intervals.interval_quotient, lambda x, y: x / y),
]


@given(
    operation=st.sampled_from(OPERATIONS),
    first=pairs_of_ends,
    second=pairs_of_ends,
    shares=st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), min_size=1, max_size=5),
)
def test_nothing_lies_outside_and_the_ends_are_reached(operation, first, second, shares) -> None:
    interval, plain = operation
    if plain(1.0, 2.0) == 0.5 and second[0] <= 0.0 <= second[1]:
        return
    found = interval(*first, *second)
    for of_first, of_second in shares:
        x = min(max(first[0] + of_first * (first[1] - first[0]), first[0]), first[1])
        y = min(max(second[0] + of_second * (second[1] - second[0]), second[0]), second[1])
        assert found.interval_low <= plain(x, y) <= found.interval_high
    corners = [plain(x, y) for x in first for y in second]
    assert found.interval_low == pytest.approx(min(corners), rel=1e-12, abs=1e-12)
    assert found.interval_high == pytest.approx(max(corners), rel=1e-12, abs=1e-12)


@given(first=pairs_of_ends, share=st.floats(0, 1))
def test_a_square_is_of_one_value(first: list[float], share: float) -> None:
    found = intervals.interval_square(*first)
    x = min(max(first[0] + share * (first[1] - first[0]), first[0]), first[1])
    assert found.interval_low <= x * x <= found.interval_high
    nearest = 0.0 if first[0] <= 0.0 <= first[1] else min(map(abs, first))
    assert found.interval_low == pytest.approx(nearest**2, rel=1e-12, abs=1e-12)
    assert found.interval_high == pytest.approx(max(map(abs, first)) ** 2, rel=1e-12, abs=1e-12)


@given(first=pairs_of_ends, share=st.floats(0, 1))
def test_a_root_is_undone_by_a_square(first: list[float], share: float) -> None:
    low, high = sorted(map(abs, first))
    found = intervals.interval_root(low, high)
    x = min(max(low + share * (high - low), low), high)
    assert found.interval_low <= math.sqrt(x) <= found.interval_high
    back = intervals.interval_square(found.interval_low, found.interval_high)
    assert back.interval_low <= low
    assert high <= back.interval_high
    assert back.interval_high == pytest.approx(high, rel=1e-12, abs=1e-12)


# --- refusals ---


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: intervals.interval_quotient(1.0, 2.0, -1.0, 1.0),
            "second low to second high = -1 must be an interval without 0 (a divisor that may be 0 leaves "
            "nothing sure). Narrow the divisor first",
        ),
        (
            lambda: intervals.interval_sum(2.0, 1.0, 0.0, 1.0),
            "first high less first low = -1 must be at least 0. Exchange the two ends",
        ),
        (
            lambda: intervals.interval_root(-1.0, 4.0),
            "first low = -1 must be at least 0 (no root is sure below 0)",
        ),
        (
            lambda: uncertainty.freedom((1.0, 2.0), (3.0,)),
            "number of freedoms = 1 must be 2, as many as of contributions. Each has its partner at the same "
            "place in the list",
        ),
        (
            lambda: uncertainty.freedom((0.0, 0.0), (3.0, 3.0)),
            "sum of the contributions = 0 must be above 0 (nothing has no degrees of freedom)",
        ),
        (lambda: uncertainty.coverage_factor(1.0), "confidence = 1 must be 0..1 (no interval is certain)"),
        (
            lambda: uncertainty.sample_mean((3.0,)),
            "number of readings = 1 must be at least 2 (one reading has no spread)",
        ),
        (
            lambda: uncertainty.product_uncertainty((0.0,), (1.0,), (0.1,)),
            "size of the factors at 0 = 0 must be above 0 (a factor of 0 has no relative uncertainty)",
        ),
        (
            lambda: uncertainty.limits_uncertainty(1.0, "round"),
            "distribution 'round' must be one of even, triangular, arcsine",
        ),
    ],
)
def test_what_has_no_answer_is_refused(call: Callable[[], object], message: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        call()
    assert str(refusal.value) == message


def test_a_chain_of_sizes_spreads_as_its_corners_and_its_draws_say() -> None:
    """Every corner of the chain by hand; normal draws whose limits are three deviations, one sign turned."""
    sizes = np.array([0.03, 0.04, 0.12])
    found = tolerance_chain.tolerance_stack(sizes)
    corners = [sum(signs * sizes) for signs in np.array(np.meshgrid(*[[-1, 1]] * 3)).T.reshape(-1, 3)]
    assert found.worst_stack == pytest.approx(max(corners))
    draws = np.random.default_rng(5).normal(0.0, sizes / 3, (200_000, 3)) @ np.array([1.0, -1.0, 1.0])
    assert found.likely_stack == pytest.approx(3 * draws.std(), rel=0.01)
