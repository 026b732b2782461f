"""All proofs of a kit with bands, beside plain numpy for nineteen of them, and beside no bands at all."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import Any

import numpy as np

from benchmarks.demo_shop import jobs, shop
from benchmarks.pairs import Pair, Size, pair
from tappetry.assembly.roots import facts_by_name
from tappetry.proofs.doubt import FIRST_ORDER, with_doubt
from tappetry.proofs.leaves import LeafOf, leaf_of
from tappetry.proofs.margins import prove
from tappetry.records.verdict import Proof
from tappetry.services.kits import KitResult, kit_for_job

Read = Callable[[str], Any]
DRAWN = 2048


def measure(size: Size) -> Iterator[Pair]:
    calls = max(1, size.calls // 50)
    results = [kit_for_job(shop(), job) for job in jobs()]
    yield _beside_numpy(results[0], size, calls)
    for result in results:
        yield pair(
            f"proofs of {result.job.id} with bands",
            partial(_all, result, _leaves(result)),
            "the same without bands",
            partial(_proved, result),
            size.rounds,
            calls,
            note=f"{len(_proved(result))} proofs",
        )


def _leaves(result: KitResult) -> LeafOf:
    facts = facts_by_name(shop().knowledge.attributes, result.identification.engine_as_found)
    return leaf_of(shop().knowledge, facts)


def _proved(result: KitResult) -> list[Proof]:
    """Every proof of a kit, from values that are remembered."""
    values, views = result.resolution.values, result.resolution.views
    proved = (prove(values, rule, views, {}, {}) for rule in shop().knowledge.proofs.values())
    return [proof for proof in proved if proof is not None]


def _all(result: KitResult, leaves: LeafOf) -> tuple[Proof, ...]:
    """Every proof of a kit, with bands."""
    return with_doubt(result.resolution.values, result.resolution.views, _proved(result), leaves)


# ---- beside plain numpy ------------------------------------------------------------------------------------


def _beside_numpy(result: KitResult, size: Size, calls: int) -> Pair:
    """The same proofs on both sides: values and uncertainties are equal."""
    views = {**result.resolution.views, **result.resolution.values.fixed}

    def stated(name: str) -> float:
        root, _, member = name.partition(".")
        return float(views[root][member])

    names = set(plain(stated))
    proofs = [proof for proof in _proved(result) if proof.id in names]
    leaves = _leaves(result)
    ours = partial(with_doubt, result.resolution.values, result.resolution.views, tuple(proofs), leaves)
    spreads: dict[str, float] = {}
    for proof in ours():
        assert proof.doubt is not None
        spreads |= {share.name: share.plus / math.sqrt(3.0) for share in proof.doubt.shares}
    reference = partial(plain_bands, stated, spreads)
    expected = reference()
    for proof in ours():
        assert proof.doubt is not None
        value, straight, drawn = expected[proof.id]
        assert proof.value is not None
        assert abs(proof.value - value) < 1e-9 * max(1.0, abs(value)), proof.id
        bent = straight if proof.doubt.method == FIRST_ORDER else drawn
        close = 1e-6 if proof.doubt.method == FIRST_ORDER else 0.05
        assert abs(proof.doubt.uncertainty - bent) < close * bent, proof.id
    name = f"{len(proofs)} proofs of {result.job.id} with bands"
    return pair(name, ours, "plain numpy", reference, size.rounds, calls)


def plain_bands(stated: Read, spreads: Mapping[str, float]) -> dict[str, tuple[float, float, float]]:
    """Value and uncertainty of each proof, by slopes and by drawing; the clearances by slopes alone."""
    names = sorted(spreads)
    star = {name: np.full(1 + 2 * len(names), stated(name)) for name in names}
    generator = np.random.Generator(np.random.PCG64(1))
    drawn = {}
    for place, name in enumerate(names):
        star[name][1 + 2 * place] += spreads[name]
        star[name][2 + 2 * place] -= spreads[name]
        ends = math.sqrt(3.0) * spreads[name]
        drawn[name] = stated(name) + generator.uniform(-ends, ends, DRAWN)
    slopes = plain(lambda name: star[name] if name in star else stated(name))
    clouds = plain(lambda name: drawn[name] if name in drawn else stated(name), clearances=False)
    found = {}
    for name, value in slopes.items():
        moved = (value[1::2] - value[2::2]) / 2.0
        cloud = float(np.std(clouds[name])) if name in clouds else math.nan
        found[name] = float(value[0]), math.sqrt(float((moved**2).sum())), cloud
    return found


def plain(x: Read, *, clearances: bool = True) -> dict[str, Any]:
    """Nineteen proofs written out, of floats or arrays, with no range looked at and no name of a limit."""
    ratio = x("engine.rocker_ratio")
    lift = np.maximum(x("camshaft.lobe_lift_intake_in") * ratio, x("camshaft.lobe_lift_exhaust_in") * ratio)
    locks = x("valve_locks.lock_offset_in") - x("engine.lock_offset_in")
    seat = x("valve_stem_seals.seat_thickness_in") - x("engine.seat_thickness_in")
    height = x("engine.installed_height_in") - seat + locks - x("spring_retainers.step_in")
    solid = height - x("valve_springs.solid_in") - lift
    load = x("valve_springs.seat_lb") + x("valve_springs.rate_lb_in") * (
        x("valve_springs.installed_in") - height
    )
    seal = x("engine.retainer_to_seal_in") + locks - lift
    bore, gasket_bore = x("engine.bore_mm") + x("engine.overbore_mm"), x("head_gaskets.bore_mm")
    thickness = x("head_gaskets.thickness_mm")
    quench = x("engine.deck_clearance_mm") + thickness
    static, effective = _compression(x, bore)
    thicker = (thickness - x("engine.gasket_thickness_mm")) / 25.4
    base = (x("engine.base_circle_mm") - x("camshaft.base_circle_mm")) / 2 / 25.4
    ideal = x("engine.pushrod_length_in") + base + thicker - x("lifters_standard.cup_offset_in")
    found = {
        "spring-not-solid": solid,
        "bind-excess": solid,
        "seat-load": load,
        "retainer-to-seal": seal,
        "gasket-bore-least": gasket_bore - bore,
        "gasket-bore-most": gasket_bore - bore,
        "head-bore-span": (bore - x("engine.valve_span_mm")) / 2,
        "quench-least": quench,
        "quench-most": quench,
        "static-compression-fuel": static,
        "effective-compression-lazy": effective,
        "effective-compression-fuel": effective,
        "preload-window": x("engine.preload_factory_in") + x("pushrods.length_in") - ideal,
    }
    for row in ("upper", "lower"):
        through = x(f"head_bolts_main.{row}_length_mm") - x(f"engine.head_bolt_clamped_{row}_mm")
        found[f"bolt-bottom-{row}"] = x("engine.head_bolt_hole_bottom_mm") - through
        found[f"bolt-thread-{row}"] = through - x("engine.head_bolt_thread_start_mm")
    if clearances:
        found["pv-intake"] = _clearance(x, "intake", ratio, thicker)
        found["pv-exhaust"] = _clearance(x, "exhaust", ratio, thicker)
    return found


def _compression(x: Read, bore: Any) -> tuple[Any, Any]:
    """Static and effective compression ratio."""
    area = math.pi / 4 * bore**2 / 1000
    gasket = math.pi / 4 * x("head_gaskets.bore_mm") ** 2 * x("head_gaskets.thickness_mm") / 1000
    room = x("engine.chamber_cc") + gasket + area * x("engine.deck_clearance_mm") + x("engine.piston_dish_cc")
    throw, rod = x("engine.stroke_mm") / 2, x("engine.rod_length_mm")
    closes = np.radians(x("camshaft.duration_006_intake_deg") / 2 + x("camshaft.icl_deg") - 180)
    left = throw + rod + throw * np.cos(closes) - np.sqrt(rod**2 - (throw * np.sin(closes)) ** 2)
    return 1 + area * x("engine.stroke_mm") / room, 1 + area * left / room


def _clearance(x: Read, side: str, ratio: Any, thicker: Any) -> Any:
    """Least clearance over the overlap and the phaser's places; crank angle on the last axis."""

    def deep(value: Any) -> Any:
        return np.asarray(value)[..., np.newaxis, np.newaxis]

    crank = np.radians(np.arange(-40, 41))
    steps = np.append(np.arange(0.0, np.max(x("phaser_limiter.degrees_left"))), np.inf)
    retard = np.radians(np.minimum(steps[:, np.newaxis], deep(x("phaser_limiter.degrees_left"))))
    tilt, throw = np.radians(deep(x("engine.valve_angle_deg"))), deep(x("engine.stroke_mm")) / 2 / 25.4
    rod = deep(x("engine.rod_length_mm")) / 25.4
    fall = throw + rod - throw * np.cos(crank) - np.sqrt(rod**2 - (throw * np.sin(crank)) ** 2)
    stated = deep(x("camshaft.icl_deg" if side == "intake" else "camshaft.ecl_deg"))
    centre = np.radians(stated if side == "intake" else -stated) + retard
    half_width = np.radians(deep(x(f"camshaft.half_width_{side}_deg")))
    exponent = x(f"camshaft.lobe_p_{side}")
    powers = [2 + k * (exponent - 2) for k in range(5)]
    share = np.minimum(np.abs(crank - centre) / half_width, 1.0)
    lobe = np.ones_like(share)
    for power in powers:
        lobe -= math.prod(n / (n - power) for n in powers if n != power) * share**power
    drop = deep(x(f"engine.valve_drop_{side}_in") + thicker * np.cos(np.radians(x("engine.valve_angle_deg"))))
    lift = lobe * deep(x(f"camshaft.lobe_lift_{side}_in") * ratio)
    return (drop + fall * np.cos(tilt) - lift).min(axis=(-1, -2))
