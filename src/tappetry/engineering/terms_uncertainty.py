"""Quantities of doubt: names, units, ranges and meanings for the glossary."""

from __future__ import annotations

import math

from tappetry.engineering.ranges import ANY, Range, above_zero, either_way

_ONE_UNIT = "all in one unit"
_SPREAD = Range(0.0, math.inf)
_ABOVE = above_zero(math.inf)
_FREEDOM = Range(0.0, math.inf, low_excluded=True, may_be_infinite=True)

# fmt: off
ROWS = (
    # --- chains of sizes ---
    ("tolerances", "1", _SPREAD, "half widths of all sizes of a chain, signs left out", _ONE_UNIT),
    ("worst_stack", "1", _SPREAD, "half width of the sum with every size at its worst", _ONE_UNIT),
    ("likely_stack", "1", _SPREAD, "half width of the sum by the root of the squares", _ONE_UNIT),
    # --- standard uncertainties ---
    ("half_width", "1", _SPREAD, "from the middle to either limit", _ONE_UNIT),
    ("standard_uncertainty", "1", _ABOVE, "standard deviation of what the value may be", _ONE_UNIT),
    ("limits_uncertainty", "1", _SPREAD, "standard uncertainty of a value between limits", _ONE_UNIT),
    ("contributions", "1", _SPREAD, "standard uncertainties that add up in the result", _ONE_UNIT),
    ("combined_uncertainty", "1", _SPREAD, "standard uncertainty of the result", _ONE_UNIT),
    ("freedoms", "1", _FREEDOM, "degrees of freedom of each contribution"),
    ("freedom", "1", _FREEDOM, "degrees of freedom"),
    ("confidence", "1", Range(0.0, 1.0, low_excluded=True), "chance that the value lies in the interval"),
    ("coverage_factor", "1", Range(0.0, math.inf), "half width of an interval over standard uncertainty"),
    ("expanded_uncertainty", "1", _SPREAD, "half width of an interval with a stated confidence", _ONE_UNIT),
    ("first_uncertainty", "1", _SPREAD, "standard uncertainty of one value", _ONE_UNIT),
    ("second_uncertainty", "1", _SPREAD, "standard uncertainty of another value", _ONE_UNIT),
    ("correlation", "1", either_way(1.0), "correlation of the two values; 0 where they share nothing"),
    ("sum_uncertainty", "1", _SPREAD, "standard uncertainty of the sum", _ONE_UNIT),
    ("difference_uncertainty", "1", _SPREAD, "standard uncertainty of the difference", _ONE_UNIT),
    ("factors", "1", ANY, "values that are multiplied, each with its power"),
    ("powers", "1", ANY, "power of each factor; -1 for one that divides"),
    ("factor_uncertainties", "1", _SPREAD, "standard uncertainty of each factor, in its unit"),
    ("product_value", "1", ANY, "product of the factors with their powers"),
    ("product_uncertainty", "1", _SPREAD, "standard uncertainty of the product"),
    # --- readings ---
    ("sample", "1", ANY, "readings of one size, taken again and again", _ONE_UNIT),
    ("sample_mean", "1", ANY, "mean of the readings", _ONE_UNIT),
    ("sample_deviation", "1", _SPREAD, "standard deviation of one reading", _ONE_UNIT),
    ("mean_uncertainty", "1", _SPREAD, "standard uncertainty of the mean", _ONE_UNIT),
    ("sample_uncertainties", "1", _ABOVE, "standard uncertainty of each reading", _ONE_UNIT),
    ("misfit", "1", Range(0.0, math.inf), "scatter of the readings over what their uncertainties say"),
    # --- intervals ---
    ("first_low", "1", ANY, "lower end of the first interval", _ONE_UNIT),
    ("first_high", "1", ANY, "upper end of the first interval", _ONE_UNIT),
    ("second_low", "1", ANY, "lower end of the second interval", _ONE_UNIT),
    ("second_high", "1", ANY, "upper end of the second interval", _ONE_UNIT),
    ("interval_low", "1", ANY, "lower end of the result", _ONE_UNIT),
    ("interval_high", "1", ANY, "upper end of the result", _ONE_UNIT),
    # --- margins ---
    ("proof_margin", "1", ANY, "value less limit, on the safe side positive", _ONE_UNIT),
    ("failing_chance", "1", Range(0.0, 1.0), "chance that the margin is below 0"),
    ("bore_uncertainty", "m", Range(0.0, 0.01), "standard uncertainty of the bore"),
    ("stroke_uncertainty", "m", Range(0.0, 0.01), "standard uncertainty of the stroke"),
    ("chamber_uncertainty", "m3", Range(0.0, 1e-4), "standard uncertainty of the chamber"),
    ("other_clearance_volume", "m3", either_way(0.001), "gasket, deck and piston together"),
    ("other_clearance_uncertainty", "m3", Range(0.0, 1e-4), "standard uncertainty of that volume"),
    ("ratio_uncertainty", "1", _SPREAD, "standard uncertainty of the compression ratio"),
)
# fmt: on
