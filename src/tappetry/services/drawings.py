"""What the proofs of a kit can be drawn of: valves beside their pistons, a spring over its travel.

Which values these are, the shop's text says: whatever a proof holds to a limit and a calculation of the
handbook makes of it. The numbers are the very inputs of that calculation.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from tappetry.knowledge.language import Unknown
from tappetry.quantities.units import to_si
from tappetry.records.verdict import Proof
from tappetry.services.kits import KitResult
from tappetry.services.valves import Approach, approach_by_angle

#: Calculations of the handbook, and on which side of the dead centre their lobe lies.
CLEARANCES = {"intake": ("intake-piston-to-valve", 1.0), "exhaust": ("exhaust-piston-to-valve", -1.0)}
SEAT, SOLID = "seat-load", "coil-bind-margin"


@dataclass(frozen=True, slots=True)
class Closeness:
    """A valve beside its piston where it comes nearest, and the limit of its proof.

    Attributes
    ----------
    approach : Approach
    retard : float
        Of the camshaft against home, where this is nearest. [rad]
    limit : float
        [m]
    """

    approach: Approach
    retard: float
    limit: float


@dataclass(frozen=True, slots=True)
class SpringTravel:
    """A spring from its seat to where it is solid.

    Attributes
    ----------
    seat_load, rate : float
        [N], [N/m]
    full_lift, solid_lift : float
        Lift of the valve: the largest that it has, and that at which the coils touch. [m]
    """

    seat_load: float
    rate: float
    full_lift: float
    solid_lift: float

    def load(self, lift: float) -> float:
        """The load at a lift of the valve. [N]"""
        return self.seat_load + self.rate * lift


def closeness(result: KitResult) -> dict[str, Closeness]:
    """Each valve whose clearance to the piston is proved, by its name."""
    found = {}
    for name, (calculation, side) in CLEARANCES.items():
        for proof, inputs in _proved(result, calculation):
            if name not in found and proof.limit is not None:
                found[name] = _nearest(inputs, name, side, to_si(proof.limit, proof.unit, "length"))
    return found


def spring_travel(result: KitResult) -> SpringTravel | None:
    """The spring of a kit; None where its loads or its solid height are not proved, or not known."""
    seat = next((inputs for _, inputs in _proved(result, SEAT)), None)
    solid = next((inputs for _, inputs in _proved(result, SOLID)), None)
    if seat is None or solid is None:
        return None
    squeezed = seat["reference_height"] - seat["installed_height"]
    return SpringTravel(
        seat_load=seat["reference_load"] + seat["spring_rate"] * squeezed,
        rate=seat["spring_rate"],
        full_lift=solid["lift_at_valve"],
        solid_lift=solid["installed_height"] - solid["solid_height"],
    )


def _proved(result: KitResult, calculation: str) -> Iterator[tuple[Proof, Mapping[str, Any]]]:
    """The proofs that rest on a calculation, each with its inputs in SI, where these are known."""
    values, views = result.resolution.values, result.resolution.views
    for proof in result.kit.proofs:
        for name in values.made_through(values.knowledge.proofs[proof.id].value):
            if values.knowledge.named[name].calculation == calculation:
                try:
                    yield proof, values.inputs_of(name, views)
                except Unknown:
                    continue


def _nearest(inputs: Mapping[str, Any], name: str, side: float, limit: float) -> Closeness:
    """The camshaft at home or at the end of its range, wherever the valve comes nearer to the piston."""
    given = dict(inputs)
    centre = side * given.pop(f"{name}_centreline")
    end = given.pop("retard", 0.0)
    approaches = [(each, approach_by_angle(centre + each, **given)) for each in dict.fromkeys((0.0, end))]
    retard, approach = min(approaches, key=lambda each: float(each[1].clearances.min()))
    return Closeness(approach, retard, limit)
