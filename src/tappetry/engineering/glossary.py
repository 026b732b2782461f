"""One name per quantity: its SI unit, the range it may take, and what it means.

Every parameter and every result of the handbook stands here once. `require` holds a value to its range.
The ranges are those of a car's or a light truck's engine with room to spare; they are there to catch a value
in the wrong unit or with the wrong sign, not to judge a part.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tappetry.engineering import (
    terms_bench,
    terms_combustion,
    terms_contact,
    terms_degree,
    terms_gas,
    terms_joints,
    terms_oil,
    terms_springs,
    terms_uncertainty,
    terms_vehicle,
)
from tappetry.engineering.ranges import Range, Real, require_between

TURN = 2.0 * math.pi


@dataclass(frozen=True, slots=True)
class Quantity:
    """A quantity of the handbook.

    Attributes
    ----------
    name : str
        Its one name, as functions spell it.
    unit : str
        SI unit, `1` for a pure number.
    range : Range
        What it may be, in that unit.
    meaning : str
        What it is and from where to where it is measured.
    qualifier : str
        What two people could take differently: crank or cam, gauge or absolute, mean or outside.
    """

    name: str
    unit: str
    range: Range
    meaning: str
    qualifier: str = ""


def _above_zero(high: float) -> Range:
    return Range(0.0, high, low_excluded=True)


def _either_way(size: float) -> Range:
    return Range(-size, size)


_ANY = Range(-math.inf, math.inf)
_SIZE = _above_zero(1.0)  # of a part of an engine: not above 1 m
_SMALL = _above_zero(0.1)
_CHANGE = _either_way(0.02)
_LOAD = _above_zero(1e5)
_MASS = _above_zero(5.0)
_RATIO = Range(0.5, 3.0)
_STRESS = _above_zero(1e10)

# fmt: off
_ROWS = (
    # --- lobe ---
    ("lobe_lift", "m", _above_zero(0.03), "largest lift of the lobe above its base circle, at the tappet"),
    ("lobe_exponent", "1", Range(3.2, 20.0), "exponent p of the power lobe: larger is fuller at the nose"),
    ("lobe_half_width", "rad", _above_zero(TURN), "from the nose to where the lift ends", "crank"),
    ("angle_from_nose", "rad", _either_way(2 * TURN), "angle from the lobe's centreline", "crank"),
    ("duration", "rad", _above_zero(TURN), "duration of the lift above the checking height", "crank"),
    ("checking_height", "m", _above_zero(0.02), "lift at which the duration is read", "at the lobe"),
    ("seat_duration", "rad", _above_zero(TURN), "duration above the lower, seat checking height", "crank"),
    ("seat_checking_height", "m", _above_zero(0.005), "lift where the seat duration is read", "at the lobe"),
    ("lobe_lift_at_angle", "m", Range(0.0, 0.03), "lift of the lobe at an angle from its nose"),
    ("lobe_velocity_at_angle", "m/rad", _ANY, "first derivative of the lobe's lift by crank angle", "crank"),
    ("lobe_acceleration_at_angle", "m/rad2", _ANY, "second derivative of the lobe's lift", "crank"),
    ("nose_acceleration", "m/rad2", Range(-1.0, 0.0), "lobe acceleration at the nose; negative", "crank"),
    ("base_circle_diameter", "m", _SMALL, "diameter of the lobe's base circle"),
    ("roller_diameter", "m", _SMALL, "outside diameter of the lifter's roller"),
    ("nose_radius", "m", Range(0.0, math.inf, low_excluded=True, may_be_infinite=True),
     "radius of curvature of the lobe's surface at its nose; not the envelope"),
    ("nose_envelope", "m", _SMALL, "from the cam's axis to the highest point of the lobe"),
    ("journal_diameter", "m", _SMALL, "smallest cam bearing journal that the lobe has to pass"),
    ("bearing_passage", "m", _ANY, "gap between the nose and the bearings when the cam is slid in"),
    # --- timing ---
    ("intake_duration", "rad", _above_zero(TURN), "intake duration at the card's checking height", "crank"),
    ("exhaust_duration", "rad", _above_zero(TURN), "exhaust duration at the same checking height", "crank"),
    ("intake_centreline", "rad", Range(0.0, math.pi), "intake lobe's centre after TDC", "crank, ATDC"),
    ("exhaust_centreline", "rad", Range(0.0, math.pi), "exhaust lobe's centre before TDC", "crank, BTDC"),
    ("lobe_separation", "rad", Range(0.0, math.pi), "half the angle between the centrelines", "cam"),
    ("advance", "rad", _either_way(math.pi / 3), "lobe separation less intake centreline", "crank"),
    ("intake_opens", "rad", _either_way(math.pi), "before TDC; negative is after TDC", "crank, BTDC"),
    ("intake_closes", "rad", _either_way(math.pi), "after BDC; negative is before BDC", "crank, ABDC"),
    ("exhaust_opens", "rad", _either_way(math.pi), "before BDC; negative is after BDC", "crank, BBDC"),
    ("exhaust_closes", "rad", _either_way(math.pi), "after TDC; negative is before TDC", "crank, ATDC"),
    ("overlap", "rad", _either_way(TURN), "both valves open; negative where the one shuts first", "crank"),
    ("opening_reading", "rad", _either_way(TURN), "where a lift is passed going up", "crank, ATDC"),
    ("closing_reading", "rad", _either_way(TURN), "where the same lift is passed going down", "crank, ATDC"),
    ("card_centreline", "rad", Range(0.0, math.pi), "intake centreline on the cam card", "crank, ATDC"),
    # --- crank and compression ---
    ("crank_angle", "rad", _ANY, "from the piston's top dead centre, in the running direction", "crank"),
    ("bore", "m", _SIZE, "cylinder bore as it is now, overbore included"),
    ("stroke", "m", _SIZE, "twice the throw of the crank"),
    ("rod_length", "m", _SIZE, "connecting rod, centre to centre"),
    ("pin_offset", "m", _either_way(0.02),
     "piston pin off the crank's plane, positive to the side the crankpin swings to after TDC"),
    ("cylinders", "1", Range(1.0, 24.0), "number of cylinders"),
    ("engine_speed", "rad/s", Range(0.0, 2000.0), "speed of the crank", "crank"),
    ("piston_fall", "m", Range(0.0, 1.0), "piston below its top dead centre, along the bore"),
    ("piston_travel", "m", _SIZE, "from top to bottom dead centre; the stroke where the pin has no offset"),
    ("piston_velocity", "m/s", _ANY, "downwards positive"),
    ("piston_acceleration", "m/s2", _ANY, "downwards positive"),
    ("mean_piston_speed", "m/s", _ANY, "two strokes a turn"),
    ("swept_volume", "m3", _above_zero(0.01), "volume between the dead centres of one cylinder"),
    ("displacement", "m3", _above_zero(0.1), "swept volume of all cylinders"),
    ("chamber_volume", "m3", _above_zero(0.002), "combustion chamber in the head, valves and plug in place"),
    ("piston_volume", "m3", _either_way(0.0005), "dish and valve pockets positive, dome negative"),
    ("gasket_bore", "m", _SIZE, "bore of the head gasket"),
    ("gasket_thickness", "m", _above_zero(0.01), "thickness of the head gasket", "compressed"),
    ("gasket_volume", "m3", Range(0.0, 0.001), "volume inside the compressed head gasket"),
    ("deck_clearance", "m", _CHANGE, "deck above the piston at TDC; negative where the piston stands proud"),
    ("deck_height", "m", _SIZE, "from the crank's axis to the deck"),
    ("pin_height", "m", _SIZE, "from the piston pin's axis to the crown's rim"),
    ("crevice_volume", "m3", Range(0.0, 0.0001), "ring lands and other crevices; usually left out"),
    ("clearance_volume", "m3", _above_zero(0.002), "volume above the piston at TDC"),
    ("compression_ratio", "1", Range(1.0, 50.0, low_excluded=True), "static compression ratio wanted"),
    ("static_compression_ratio", "1", Range(1.0, 50.0), "volume at BDC over volume at TDC"),
    ("effective_stroke", "m", Range(0.0, 1.0), "piston below TDC when the intake valve closes"),
    ("effective_compression_ratio", "1", Range(1.0, 50.0), "volume at intake closing over volume at TDC"),
    ("ambient_pressure", "Pa", Range(3e4, 1.2e5), "air pressure around the engine", "absolute"),
    ("polytropic_exponent", "1", Range(1.0, 1.67), "exponent of the compression, heat and leaks included"),
    ("cranking_pressure", "Pa", Range(0.0, 1e7), "estimate of the reading of a compression gauge", "gauge"),
    ("quench", "m", _either_way(0.03), "flat of the piston to flat of the head at TDC"),
    # --- springs ---
    ("reference_height", "m", _SIZE, "the height to which the reference load or the stack changes belong"),
    ("reference_load", "N", _LOAD, "load of the spring at its reference height"),
    ("spring_rate", "N/m", _above_zero(2e6), "load per length of travel"),
    ("installed_height", "m", _SIZE, "height of the closed valve's spring, seat to retainer"),
    ("solid_height", "m", _SIZE, "height at which the coils touch"),
    ("lift_at_valve", "m", Range(0.0, 0.05), "largest lift of the valve", "at the valve"),
    ("seat_load", "N", Range(-1e5, 1e5), "spring load on the closed valve"),
    ("open_load", "N", _LOAD, "spring load at the valve's largest lift"),
    ("coil_bind_margin", "m", _ANY, "left before the coils touch at full lift; negative binds"),
    ("free_length", "m", _SIZE, "length of the unloaded spring"),
    ("seat_change", "m", _CHANGE, "spring seat thicker than the one the reference height was read with"),
    ("shim_thickness", "m", Range(0.0, 0.02), "all shims under the spring seat"),
    ("lock_offset", "m", _CHANGE, "locks that hold the retainer higher than those of the reference height"),
    ("retainer_step", "m", _CHANGE, "spring face of the retainer nearer to the seat than the reference's"),
    ("least_height", "m", _SIZE, "shortest installed height of the band"),
    ("greatest_height", "m", _SIZE, "tallest installed height of the band"),
    ("shelf", "m", _above_zero(0.02), "thicknesses of shims that can be had"),
    ("first_shim", "m", Range(0.0, 0.02), "thickness of the first shim; 0 where none is needed"),
    ("second_shim", "m", Range(0.0, 0.02), "thickness of the second shim; 0 where one is enough"),
    ("shim_count", "1", Range(0.0, 2.0), "number of shims"),
    ("boost_pressure", "Pa", Range(0.0, 1e6), "pressure behind the valve above the cylinder's", "gauge"),
    ("valve_head_diameter", "m", _SMALL, "outside diameter of the valve's head"),
    ("boost_load", "N", Range(0.0, 1e5), "force of the boost that lifts the closed valve"),
    ("surge_frequency", "Hz", _above_zero(5000.0), "lowest natural frequency of the spring, both ends held"),
    ("surge_ratio", "1", _ANY, "spring's natural frequency over the turns of the cam in the same time"),
    ("wire_diameter", "m", _above_zero(0.02), "diameter of the round wire"),
    ("mean_diameter", "m", _SMALL, "diameter of the coil to the wire's centre", "mean, not outside"),
    ("small_mean_diameter", "m", _SMALL, "mean diameter of the smallest coil of a cone", "mean, not outside"),
    ("large_mean_diameter", "m", _SMALL, "mean diameter of the largest coil of a cone", "mean, not outside"),
    ("active_coils", "1", _above_zero(50.0), "coils that move"),
    ("total_coils", "1", _above_zero(60.0), "active coils and closed end coils"),
    ("shear_modulus", "Pa", Range(1e9, 2e11), "G of the wire"),
    ("density", "kg/m3", Range(500.0, 25000.0), "density of the wire"),
    ("active_mass", "kg", _MASS, "mass of the moving coils"),
    ("spring_index", "1", Range(3.0, 20.0), "mean diameter over wire diameter"),
    ("wahl_factor", "1", Range(1.0, 2.0), "stress correction for curvature and shear"),
    ("spring_load", "N", Range(0.0, 1e5), "load of the spring at the height looked at"),
    ("wire_shear_stress", "Pa", Range(0.0, 1e10), "largest shear stress of the wire, corrected"),
    # --- valve train ---
    ("rocker_ratio", "1", _RATIO, "valve lift over tappet lift, measured, not stamped"),
    ("hot_lash", "m", Range(0.0, 0.002), "clearance at the valve; 0 for hydraulic lifters", "hot"),
    ("closed_distance", "m", _SMALL, "retainer's underside to the top of the seal, valve closed"),
    ("retainer_to_seal", "m", _ANY, "left between retainer and seal at full lift"),
    ("valve_mass", "kg", _MASS, "valve alone"),
    ("retainer_mass", "kg", _MASS, "spring retainer alone"),
    ("lock_mass", "kg", _MASS, "both halves of the lock"),
    ("spring_mass", "kg", _MASS, "whole spring"),
    ("rocker_mass_at_valve", "kg", _MASS, "rocker's inertia over the square of its arm"),
    ("pushrod_mass", "kg", _MASS, "pushrod alone"),
    ("lifter_mass", "kg", _MASS, "whole lifter"),
    ("equivalent_mass", "kg", _MASS, "moving mass as the valve feels it"),
    ("separation_speed", "rad/s", _ANY, "speed of the crank at which the train parts at the nose", "crank"),
    ("speed_factor", "1", _above_zero(1.0), "share of the separation speed that may be used"),
    ("working_speed", "rad/s", _ANY, "highest speed of the crank for this spring and lobe", "crank"),
    ("force_at_nose", "N", _ANY, "force at the valve that follows the nose at a speed"),
    ("valve_lift_measured", "m", _above_zero(0.05), "lift read at the valve, solid lifter and light spring"),
    ("lobe_lift_measured", "m", _above_zero(0.03), "lift read at the tappet"),
    # --- pushrod ---
    ("reference_length", "m", _SIZE, "pushrod length that gave the preload before the changes"),
    ("reference_base_circle_diameter", "m", _SMALL, "base circle of the cam the reference length belongs to"),
    ("pushrod_length", "m", _SIZE, "length in the same convention as the reference length"),
    ("gasket_change", "m", _CHANGE, "head gasket thicker than before", "compressed"),
    ("skim", "m", Range(0.0, 0.01), "taken off the deck and the head face together"),
    ("lifter_bore_angle", "rad", Range(0.0, math.pi / 3), "between lifter bore and cylinder axis"),
    ("pedestal_rise", "m", _CHANGE, "rocker pedestal higher than before"),
    ("valve_tip_rise", "m", _CHANGE, "valve tip higher than before, as after a seat cut"),
    ("cup_offset", "m", _CHANGE, "pushrod cup of the lifter higher than before"),
    ("preload_change", "m", _CHANGE, "more preload wanted than before"),
    ("wanted_preload", "m", Range(0.0, 0.01), "lifter preload for which the length was worked out"),
    ("required_length", "m", _SIZE, "pushrod length that gives the wanted preload"),
    ("preload", "m", _either_way(0.02), "plunger below its stop; negative is a gap"),
    ("turns", "1", Range(0.0, 10.0), "turns of the rocker's bolt from zero lash to final torque"),
    ("thread_pitch", "m", _above_zero(0.01), "advance of the thread in one turn"),
    ("outside_diameter", "m", _SMALL, "outside diameter of the tube"),
    ("wall_thickness", "m", _SMALL, "wall of the tube; half the diameter for a solid rod"),
    ("elastic_modulus", "Pa", Range(1e9, 1e12), "Young's modulus"),
    ("yield_strength", "Pa", _STRESS, "stress at which the material yields"),
    ("buckling_load", "N", Range(0.0, 1e7), "end load at which the straight rod bows out"),
    ("pushrod_load", "N", Range(0.0, 1e6), "end load of the pushrod"),
    ("valve_force", "N", Range(0.0, 1e5), "spring and inertia at the valve"),
    ("cylinder_pressure", "Pa", Range(0.0, 1e7), "in the cylinder when the exhaust valve opens", "gauge"),
    ("pushrod_compression", "m", Range(0.0, 0.01), "shortening of the pushrod under its load"),
    # --- contact ---
    ("lifter_load", "N", _LOAD, "load between lobe and lifter"),
    ("contact_width", "m", _SMALL, "width of the line of contact"),
    ("follower_radius", "m", Range(0.0, math.inf, low_excluded=True, may_be_infinite=True),
     "radius of the follower; infinite for a flat one"),
    ("poisson_ratio", "1", Range(0.0, 0.5), "Poisson's ratio of both bodies"),
    ("contact_modulus", "Pa", _above_zero(1e12), "modulus of the pair of bodies"),
    ("contact_half_width", "m", Range(0.0, 1.0), "half the width of the pressed strip"),
    ("contact_pressure", "Pa", Range(0.0, 1e11), "largest pressure of the contact"),
    # --- clearances ---
    ("valve_drop", "m", _above_zero(0.05), "valve pushed on to the piston by hand at TDC, along the valve"),
    ("valve_angle", "rad", Range(0.0, math.pi / 4), "between valve and cylinder axis"),
    ("retard", "rad", _either_way(math.pi / 3), "camshaft later than at home; negative is earlier", "crank"),
    ("minimum_clearance", "m", _ANY, "least piston-to-valve clearance around overlap, along the valve"),
    ("angle_of_minimum", "rad", _ANY, "crank angle of the least clearance, after TDC positive", "crank"),
    ("required_clearance", "m", Range(0.0, 0.02), "least clearance that is allowed"),
    ("phaser_range", "rad", Range(0.0, math.pi / 3), "retard that the hardware allows from home", "crank"),
    ("safe_retard", "rad", _ANY,
     "greatest retard that keeps the required clearance; no number where not even home does", "crank"),
    ("needed_retard", "rad", _ANY,
     "least retard that gives the required clearance; no number where none within range does", "crank"),
    ("retard_step", "rad", _above_zero(math.pi / 6), "step to which a retard is rounded down", "crank"),
    ("floored_retard", "rad", _ANY, "safe retard rounded down to a step", "crank"),
    ("valve_span", "m", _SIZE, "across both valve heads, edge to edge"),
    ("valve_edge_to_bore", "m", _ANY, "from a valve's edge to the cylinder wall, each side"),
    ("valve_centres", "m", _SIZE, "between the axes of two parallel valves"),
    ("intake_valve_diameter", "m", _SMALL, "outside diameter of the intake valve's head"),
    ("exhaust_valve_diameter", "m", _SMALL, "outside diameter of the exhaust valve's head"),
    ("valve_to_valve", "m", _ANY, "gap between the heads of two parallel valves, whatever their lift"),
    ("gasket_over_bore", "m", _ANY, "gasket bore above cylinder bore, on the diameter"),
    ("inlet_bore", "m", _SMALL, "bore into which the ring is pushed"),
    ("groove_diameter", "m", _SMALL, "bottom diameter of the ring's groove"),
    ("ring_gap", "m", _above_zero(0.05), "radial room for the ring"),
    ("ring_section", "m", _above_zero(0.05), "thickness of the free ring"),
    ("ring_squeeze", "1", Range(-1e3, 1.0), "pressed share of the ring's section; negative is loose"),
    # --- joints ---
    ("nominal_diameter", "m", _above_zero(0.2), "nominal, outside diameter of the thread"),
    ("pitch_diameter", "m", _above_zero(0.2), "basic pitch diameter"),
    ("minor_diameter", "m", _above_zero(0.2), "basic minor diameter of the internal thread"),
    ("root_diameter", "m", _above_zero(0.2), "root diameter of the external thread, rounded root"),
    ("stress_area", "m2", _above_zero(0.05), "area on which a bolt's stress is counted"),
    ("tensile_strength", "Pa", _STRESS, "least tensile strength"),
    ("proof_stress", "Pa", _STRESS, "stress under proof load"),
    ("bolt_stress", "Pa", _STRESS, "pull over the stress area"),
    ("bolt_load", "N", Range(0.0, 1e7), "pull in the bolt"),
    ("bolt_length", "m", _SIZE, "under the head"),
    ("clamped_length", "m", _SIZE, "from under the head to the deck, gasket compressed"),
    ("thread_start", "m", Range(0.0, 1.0), "first full thread below the deck"),
    ("hole_bottom", "m", _SIZE, "bottom of the hole below the deck"),
    ("bolt_penetration", "m", _ANY, "bolt below the deck"),
    ("engaged_thread", "m", Range(0.0, 1.0), "thread of the hole that the bolt fills"),
    ("bottom_clearance", "m", _ANY, "hole left below the bolt; negative bottoms early"),
    ("torque", "N.m", Range(0.0, 1e4), "tightening torque"),
    ("nut_factor", "1", Range(0.03, 0.5), "K of this thread, head and lubricant together"),
    ("tightening_angle", "rad", Range(0.0, 10 * TURN), "angle turned after the snug torque"),
    ("tightening_travel", "m", Range(0.0, 0.1), "advance of the bolt in that angle"),
)
# fmt: on

_TERMS = (
    terms_springs,
    terms_contact,
    terms_joints,
    terms_gas,
    terms_combustion,
    terms_degree,
    terms_oil,
    terms_vehicle,
    terms_uncertainty,
    terms_bench,
)
ROWS = (*_ROWS, *(row for terms in _TERMS for row in terms.ROWS))
QUANTITIES: dict[str, Quantity] = {row[0]: Quantity(*row) for row in ROWS}


def require(name: str, value: Real) -> Real:
    """Return a quantity's value as a float or an array if all of it lies in the quantity's range.

    Parameters
    ----------
    name : str
        The quantity's name in the glossary.
    value : float or array_like
        Its value in SI.

    Raises
    ------
    OutOfRange
        A value is not a number, or outside the range that the glossary gives.

    Examples
    --------
    >>> require("bore", 99.0)
    Traceback (most recent call last):
    tappetry.engineering.ranges.OutOfRange: bore = 99 m must be above 0 and at most 1 m. \
Check unit and sign; meant is: cylinder bore as it is now, overbore included
    """
    quantity = QUANTITIES[name]
    if isinstance(value, float) and quantity.range.contains(value):
        return value
    return require_between(name, value, quantity.range, quantity.unit, advice=_advice(quantity))


def _advice(quantity: Quantity) -> str:
    qualifier = f" ({quantity.qualifier})" if quantity.qualifier else ""
    return f"Check unit and sign; meant is: {quantity.meaning}{qualifier}"
