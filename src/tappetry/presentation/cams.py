"""Camshafts in words: what each gives, where it is stronger than the factory's, how it idles."""

from __future__ import annotations

from collections.abc import Sequence

from tappetry.presentation.idling import brakes, by_overlap, evenness
from tappetry.presentation.measures import Measures
from tappetry.services.curves import Curve
from tappetry.services.simulate import Point, Simulated, rpm

#: Torque that two curves may differ by and still be called alike. [N.m]
ALIKE = 1.0


def strength(full: Simulated, measures: Measures) -> str:
    """The peaks of a curve."""
    torque, power = full.best_torque, full.best_power
    return (
        f"Most torque {measures.both(torque.brake_torque, 'torque')} at {rpm(torque):,.0f} rpm, "
        f"most power {measures.both(power.brake_power, 'power')} at {rpm(power):,.0f} rpm."
    )


def against(full: Simulated, factory: Simulated, measures: Measures) -> str:
    """The peaks of a curve beside those of the factory's camshaft, and where it turns harder."""
    torque = full.best_torque.brake_torque - factory.best_torque.brake_torque
    power = full.best_power.brake_power - factory.best_power.brake_power
    peaks = f"{_change(torque, 'torque', measures)}, {_change(power, 'power', measures)} at the peaks"
    return f"{peaks}; {_where(full.points, factory.points)}."


def idle(curve: Curve, limit: float | None, overlap: float, measures: Measures) -> str:
    """How it idles, if power brakes have enough, how evenly it burns, and what its overlap [rad] tells."""
    if curve.idle is None or curve.vacuum is None or curve.roughness is None:
        return f"It does not idle: {curve.no_idle}"
    said = (
        f"Idles at {rpm(curve.idle):,.0f} rpm with {measures.both(curve.vacuum, 'pressure')} of vacuum, "
        f"{max(curve.idle.residual_share):.0%} of the charge left over from the cycle before"
    )
    even = f"Its idle is {evenness(curve.roughness)}. {by_overlap(overlap)}."
    if limit is None:
        return f"{said}. {even}"
    return f"{said}: {brakes(curve.vacuum, limit, measures)}. {even}"


def _change(value: float, kind: str, measures: Measures) -> str:
    return f"{measures.said(abs(value), kind)} {'more' if value >= 0 else 'less'}"


def _where(points: Sequence[Point], factory: Sequence[Point]) -> str:
    """From which speed on it turns harder than the factory's, at speeds that both have."""
    known = {round(rpm(point)): point.brake_torque for point in factory}
    gains = [
        (speed, point.brake_torque - known[speed])
        for point in points
        if (speed := round(rpm(point))) in known
    ]
    stronger = [speed for speed, gain in gains if gain > ALIKE]
    if not stronger:
        return "nowhere more torque than the factory's"
    if len(stronger) == len(gains):
        return "more torque than the factory's at every speed"
    first = next(
        (speed for place, (speed, _) in enumerate(gains) if all(gain > ALIKE for _, gain in gains[place:])),
        None,
    )
    if first is not None:
        return f"more torque than the factory's from {first:,} rpm up"
    return f"more torque than the factory's between {stronger[0]:,} and {stronger[-1]:,} rpm"
