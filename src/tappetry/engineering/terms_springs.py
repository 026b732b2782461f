"""Quantities of spring design and of pairs of springs: names, units, ranges and meanings for the glossary."""

from __future__ import annotations

import math

from tappetry.engineering.ranges import ANY, Range, above_zero, either_way

_STRESS = above_zero(1e10)
_ANY_STRESS = Range(0.0, 1e10)
_LOAD = above_zero(1e5)
_SIZE = above_zero(1.0)
_SMALL = above_zero(0.1)
_ENDLESS = Range(0.0, math.inf, may_be_infinite=True)
_FACTOR = Range(1.0, 2.0)

# fmt: off
ROWS = (
    # --- coils and stress ---
    ("coil_pitch", "m", above_zero(0.1), "from coil to coil of the free spring"),
    ("load_at_height", "N", Range(-1e6, 1e6), "load of the spring at a height"),
    ("spring_energy", "J", Range(0.0, 1e5), "work that the compressed spring holds and gives back at once"),
    ("inactive_coils", "1", Range(0.0, 10.0), "closed end coils that do not move, both ends together"),
    ("bergstrasser_factor", "1", _FACTOR, "stress correction for curvature and shear, (4C + 2)/(4C - 3)"),
    ("shear_factor", "1", _FACTOR, "stress correction for direct shear alone, 1 + 0.5/C"),
    ("uncorrected_stress", "Pa", _ANY_STRESS, "shear stress of the wire by torsion alone"),
    ("bergstrasser_stress", "Pa", _ANY_STRESS, "shear stress of the wire with the Bergsträsser factor"),
    ("wahl_stress", "Pa", _ANY_STRESS, "shear stress of the wire with the Wahl factor"),
    ("reference_diameter", "m", _SMALL, "wire diameter of the reference strength: 1 in or 1 mm in tables"),
    ("reference_strength", "Pa", _STRESS, "tensile strength of a wire of the reference diameter"),
    ("strength_exponent", "1", Range(0.0, 1.0), "power of the diameter by which thinner wire is stronger"),
    ("shear_yield_ratio", "1", above_zero(1.0), "torsional yield strength over tensile strength"),
    ("shear_yield_strength", "Pa", _STRESS, "shear stress at which the wire takes a set"),
    ("yield_load", "N", _LOAD, "load of the spring at which its wire takes a set"),
    ("yield_travel", "m", _SIZE, "travel from the free length to that load"),
    ("solid_safe_length", "m", _SIZE, "longest free length that can be pressed solid without a set"),
    # --- cones ---
    ("closing_travel", "m", _SIZE, "travel of a cone from free to all coils closed: free less solid, active"),
    ("first_closing_load", "N", _LOAD, "load at which the largest coil begins to close"),
    ("first_closing_travel", "m", _SIZE, "travel at that load"),
    ("last_closing_load", "N", _LOAD, "load at which the smallest coil has closed"),
    ("conical_travel", "m", Range(0.0, 1.0), "travel of a conical spring at a load"),
    # --- standing straight ---
    ("end_condition", "1", Range(0.25, 4.0),
     "0.5 both ends flat and held, 0.707 one hinged, 1 both hinged, 2 one free"),
    ("effective_slenderness", "1", ANY, "end condition times free length over mean diameter"),
    ("stable_length", "m", _SIZE, "free length below which the spring never buckles"),
    ("buckling_travel", "m", _ENDLESS, "travel at which a longer spring bows out; infinite where none does"),
    # --- two in each other ---
    ("outer_load", "N", _LOAD, "load of the outer spring alone at the reference height"),
    ("outer_rate", "N/m", above_zero(2e6), "rate of the outer spring alone"),
    ("outer_solid_height", "m", _SIZE, "solid height of the outer spring"),
    ("inner_load", "N", _LOAD, "load of the inner spring alone at the same reference height"),
    ("inner_rate", "N/m", above_zero(2e6), "rate of the inner spring alone"),
    ("inner_solid_height", "m", _SIZE, "solid height of the inner spring"),
    ("inner_step", "m", either_way(0.02), "room of the inner spring shorter than the outer's, both ends"),
    ("outer_margin", "m", ANY, "left before the outer spring's coils touch at full lift"),
    ("inner_margin", "m", ANY, "left before the inner spring's coils touch at full lift"),
    ("outer_mean_diameter", "m", _SMALL, "mean diameter of the outer spring's coil", "mean, not outside"),
    ("outer_wire_diameter", "m", above_zero(0.02), "wire diameter of the outer spring"),
    ("inner_mean_diameter", "m", _SMALL, "mean diameter of the inner spring's coil", "mean, not outside"),
    ("inner_wire_diameter", "m", above_zero(0.02), "wire diameter of the inner spring"),
    ("spring_interference", "m", ANY, "inner spring too large, on the diameter; negative is free"),
    # --- fatigue ---
    ("stress_amplitude", "Pa", _ANY_STRESS, "half the range of the stress"),
    ("mean_stress", "Pa", _ANY_STRESS, "middle of the range of the stress"),
    ("endurance_amplitude", "Pa", _STRESS, "shear stress amplitude that the wire endures at the next mean"),
    ("endurance_mean", "Pa", Range(0.0, 1e10), "mean shear stress at which that amplitude was found"),
    ("shear_ultimate_ratio", "1", above_zero(1.0), "torsional over tensile strength of the wire"),
    ("goodman_factor", "1", _ENDLESS, "factor to the Goodman line; below 1 breaks in time"),
    ("gerber_factor", "1", _ENDLESS, "factor to the Gerber parabola; below 1 breaks in time"),
    ("sines_factor", "1", _ENDLESS, "endured amplitude over the stress amplitude, whatever the mean"),
)
# fmt: on
