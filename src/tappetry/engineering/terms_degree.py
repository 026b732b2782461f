"""Quantities of the degree wheel: names, units, ranges and meanings for the glossary."""

from __future__ import annotations

import math

from tappetry.engineering.ranges import ANY, Range, above_zero, either_way

_TURN = 2.0 * math.pi
_READING = either_way(2.0 * _TURN)
_CENTRE = Range(0.0, _TURN)
_LIFT = above_zero(0.03)

# fmt: off
ROWS = (
    # --- readings ---
    ("quadrant_reading", "rad", Range(0.0, math.pi), "reading of a wheel marked from dead centres", "crank"),
    ("wheel_reading", "rad", _READING, "reading of a wheel that counts up in the running direction", "crank"),
    ("first_stop_reading", "rad", _READING, "where the piston meets the stop, coming from one side", "crank"),
    ("second_stop_reading", "rad", _READING, "where it meets the stop, coming from the other side", "crank"),
    ("dead_centre_reading", "rad", _CENTRE, "what the wheel shows at true top dead centre", "crank"),
    ("stop_angle", "rad", Range(0.0, math.pi), "between dead centre and the stop", "crank"),
    ("wheel_error", "rad", either_way(math.pi), "what the wheel shows too much, at top dead centre", "crank"),
    ("corrected_reading", "rad", _CENTRE, "reading less the wheel's error", "crank, ATDC"),
    ("readings", "rad", _READING, "readings of one angle, taken again and again", "crank"),
    ("mean_reading", "rad", _CENTRE, "mean of the readings on the circle", "crank"),
    ("resultant_length", "1", Range(0.0, 1.0), "1 where all readings agree, 0 where they point all round"),
    ("circular_deviation", "rad", Range(0.0, math.inf), "standard deviation on the circle", "crank"),
    # --- lobe ---
    ("lobe_centre", "rad", _CENTRE, "middle between equal lifts, after top dead centre", "crank, ATDC"),
    ("equal_lift_duration", "rad", _CENTRE, "from a lift going up to the same lift going down", "crank"),
    ("lower_opening_reading", "rad", _READING, "where the lower lift is passed going up", "crank, ATDC"),
    ("lower_closing_reading", "rad", _READING, "where the lower lift is passed going down", "crank, ATDC"),
    ("upper_opening_reading", "rad", _READING, "where the upper lift is passed going up", "crank, ATDC"),
    ("upper_closing_reading", "rad", _READING, "where the upper lift is passed going down", "crank, ATDC"),
    ("opening_flank", "rad", _CENTRE, "from the lower to the upper lift, going up", "crank"),
    ("closing_flank", "rad", _CENTRE, "from the upper to the lower lift, going down", "crank"),
    ("centre_shift", "rad", either_way(math.pi), "centre at the lower lift less that at the upper", "crank"),
    ("lobe_lifts", "m", _LIFT, "lift of each lobe of one kind, in the order of the cylinders"),
    ("lift_tolerance", "m", above_zero(0.005), "how much lower a lobe may be than its card"),
    ("lift_spread", "m", Range(0.0, 0.03), "largest less smallest lift"),
    ("worst_lobe", "1", Range(1.0, math.inf), "place in the list of the lowest lobe, counted from 1"),
    ("worst_loss", "m", either_way(0.03), "lift on the card less the lowest lobe's"),
    ("worn_lobes", "1", Range(0.0, math.inf), "lobes that are lower than the tolerance allows"),
    ("rise_fraction", "1", Range(0.0, 1.0), "share of the flank that has passed since the lift began"),
    ("lift_fraction", "1", Range(0.0, 1.0), "share of the lobe's lift"),
    ("flank_angle", "rad", above_zero(math.pi), "from where the lift starts to the nose", "cam"),
    ("whole_duration", "rad", above_zero(2.0 * _TURN), "from where the lift starts to its end", "crank"),
    # --- correction ---
    ("wanted_centreline", "rad", Range(0.0, math.pi), "intake centreline that is wanted", "crank, ATDC"),
    ("keyways", "rad", either_way(math.pi / 6), "advance that each keyway in stock gives", "crank"),
    ("keyway_number", "1", Range(1.0, math.inf), "place in the list of the keyway to take, counted from 1"),
    ("keyway_advance", "rad", either_way(math.pi / 6), "advance that this keyway gives", "crank"),
    ("corrected_centreline", "rad", either_way(math.pi), "intake centreline with this keyway", "crank, ATDC"),
    ("remaining_error", "rad", either_way(math.pi), "corrected less wanted; positive is late", "crank"),
    # --- all readings at once ---
    ("first_stop_readings", "rad", _READING, "where the stop is met from one side, each try", "crank"),
    ("second_stop_readings", "rad", _READING, "where it is met from the other side, each try", "crank"),
    ("heights", "m", _LIFT, "lifts at which the lobe was read, at the lobe"),
    ("opening_readings", "rad", _READING, "where each lift is passed going up, as shown", "crank"),
    ("closing_readings", "rad", _READING, "where each lift is passed going down, as shown", "crank"),
    ("reading_uncertainty", "rad", above_zero(0.2), "standard uncertainty of one reading", "crank"),
    ("lobe_centre_uncertainty", "rad", Range(0.0, math.inf), "standard uncertainty of the centre", "crank"),
    ("centre_slope", "rad/m", ANY, "how the centre moves with the lift; 0 for a symmetrical lobe", "crank"),
    ("centre_slope_uncertainty", "rad/m", Range(0.0, math.inf), "standard uncertainty of the slope", "crank"),
    ("dead_centre_uncertainty", "rad", Range(0.0, math.inf), "standard uncertainty of dead centre", "crank"),
    ("reading_scatter", "rad", Range(0.0, math.inf), "standard deviation of a reading, as seen", "crank"),
)
# fmt: on
