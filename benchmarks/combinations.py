"""Every pair of thousands of camshafts and springs on several heads, filtered by the spring's proofs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial

import numpy as np
from numpy.typing import NDArray

from benchmarks.demo_shop import jobs, shop
from benchmarks.pairs import SEED, Pair, Size, pair
from tappetry.assembly.arrays import Arrays
from tappetry.assembly.values import Values
from tappetry.proofs.many import margins
from tappetry.services.kits import KitResult, kit_for_job

#: The proofs of a spring that hang on camshaft, spring and head alone.
PROOFS = ("spring-not-solid", "seat-load", "retainer-to-seal", "open-load")
HEADS = 4

Many = NDArray[np.float64]


def measure(size: Size) -> Iterator[Pair]:
    count = min(2_000, size.parts // 10)
    result = kit_for_job(shop(), next(jobs()))
    offered = draw(count)
    ours, reference = partial(passing, result, offered), partial(plain, result, offered)
    assert 0 < ours().sum() < HEADS * count**2
    np.testing.assert_array_equal(ours(), reference())
    yield pair(
        f"{count} cams x {count} springs x {HEADS} heads",
        ours,
        "plain numpy",
        reference,
        size.rounds,
        note=f"{HEADS * count**2:,} combinations, {ours().sum():,} pass {len(PROOFS)} proofs",
    )


def draw(count: int) -> dict[str, Many]:
    """Camshafts, springs and heads as a catalogue might hold them: heads, then camshafts, then springs."""
    generator = np.random.default_rng(SEED)

    def spread(low: float, high: float, place: int, of: int) -> Many:
        shape = [1, 1, 1]
        shape[place] = of
        return generator.uniform(low, high, of).reshape(shape)

    return {
        "engine.installed_height_in": spread(1.70, 1.85, 0, HEADS),
        "engine.retainer_to_seal_in": spread(0.55, 0.70, 0, HEADS),
        "camshaft.lobe_lift_intake_in": spread(0.28, 0.37, 1, count),
        "camshaft.lobe_lift_exhaust_in": spread(0.28, 0.37, 1, count),
        "valve_springs.seat_lb": spread(90.0, 160.0, 2, count),
        "valve_springs.rate_lb_in": spread(300.0, 480.0, 2, count),
        "valve_springs.installed_in": spread(1.70, 1.85, 2, count),
        "valve_springs.solid_in": spread(1.00, 1.20, 2, count),
        "valve_springs.min_bind_margin_in": spread(0.05, 0.06, 2, count),
    }


def passing(result: KitResult, offered: Mapping[str, Many]) -> NDArray[np.bool_]:
    """Which combinations pass the shop's own proofs, a head at a time."""
    values, views = result.resolution.values, result.resolution.views
    return np.concatenate([_on_a_head(values, views, offered, head) for head in range(HEADS)])


def _on_a_head(
    values: Values, views: Mapping[str, Mapping[str, object]], offered: Mapping[str, Many], head: int
) -> NDArray[np.bool_]:
    many = {name: each[head : head + 1] if len(each) == HEADS else each for name, each in offered.items()}
    arrays = Arrays(values, views, many)
    shape = np.broadcast_shapes(*(each.shape for each in many.values()))
    passed = np.ones(shape, dtype=np.bool_)
    for name in PROOFS:
        passed &= margins(arrays, shop().knowledge.proofs[name]) >= -1e-9
    return passed


def plain(result: KitResult, offered: Mapping[str, Many]) -> NDArray[np.bool_]:
    """The same written out for this engine and these parts, with no range looked at."""
    views = {**result.resolution.views, **result.resolution.values.fixed}
    engine, limits, locks = views["engine"], views["limits"], views["valve_locks"]["lock_offset_in"]
    ratio = engine["rocker_ratio"]
    moved = locks - engine["lock_offset_in"] - views["spring_retainers"]["step_in"]
    seat = views["valve_stem_seals"]["seat_thickness_in"] - engine["seat_thickness_in"]
    passed = []
    for head in range(HEADS):
        x = {
            name.partition(".")[2]: each[head] if len(each) == HEADS else each[0]
            for name, each in offered.items()
        }
        lift = np.maximum(x["lobe_lift_intake_in"], x["lobe_lift_exhaust_in"]) * ratio
        height = x["installed_height_in"] - seat + moved
        load = x["seat_lb"] + x["rate_lb_in"] * (x["installed_in"] - height)
        seal = x["retainer_to_seal_in"] + locks - engine["lock_offset_in"] - lift
        passed.append(
            (height - x["solid_in"] - lift - x["min_bind_margin_in"] >= -1e-9)
            & (load - limits["seat_load_roller_min_lb"] >= -1e-9)
            & (seal - limits["retainer_to_seal_min_in"] >= -1e-9)
            & (limits["open_load_roller_max_lb"] - load - x["rate_lb_in"] * lift >= -1e-9)
        )
    return np.array(passed)
