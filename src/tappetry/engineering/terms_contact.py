"""Quantities of columns, contacts, cam laws and rockers: names, units, ranges, meanings for the glossary."""

from __future__ import annotations

import math

from tappetry.engineering.ranges import ANY, Range, above_zero

_SIZE = above_zero(1.0)
_SMALL = above_zero(0.1)
_LOAD = above_zero(1e7)
_PURE = Range(0.0, math.inf)
_SPHERE = Range(-math.inf, math.inf, may_be_infinite=True)
_LIFT = Range(0.0, 0.05)

# fmt: off
ROWS = (
    # --- columns ---
    ("column_load", "N", _LOAD, "end load that the column has to carry, safety factor included"),
    ("column_length", "m", above_zero(10.0), "length of the column between its ends"),
    ("end_constant", "1", Range(0.25, 4.0), "1 both ends hinged as ball ends, 0.25 one free, 2 to 4 held"),
    ("slenderness", "1", _PURE, "length over radius of gyration"),
    ("transition_slenderness", "1", _PURE, "slenderness from which Euler's formula holds"),
    ("section_area", "m2", above_zero(1.0), "area of the column's section"),
    ("gyration_radius", "m", _SIZE, "radius of gyration of the section"),
    ("euler_load", "N", _PURE, "end load at which a slender column bows out, by Euler"),
    ("johnson_load", "N", ANY, "end load of a stocky column, by Johnson's parabola; below 0 far out of it"),
    ("critical_load", "N", ANY, "the one of the two loads that holds at this slenderness"),
    ("euler_diameter", "m", _SIZE, "diameter of a solid round column by Euler"),
    ("johnson_diameter", "m", _SIZE, "diameter of a solid round column by Johnson"),
    ("column_diameter", "m", _SIZE, "the one of the two diameters that holds at its slenderness"),
    # --- contact ---
    ("first_elastic_modulus", "Pa", Range(1e9, 1e12), "Young's modulus of the first body"),
    ("first_poisson_ratio", "1", Range(0.0, 0.5), "Poisson's ratio of the first body"),
    ("second_elastic_modulus", "Pa", Range(1e9, 1e12), "Young's modulus of the second body"),
    ("second_poisson_ratio", "1", Range(0.0, 0.5), "Poisson's ratio of the second body"),
    ("contact_load", "N", _LOAD, "load that presses the two bodies together"),
    ("first_diameter", "m", _SIZE, "diameter of the first ball or cylinder"),
    ("second_diameter", "m", _SPHERE, "diameter of the second; infinite for a flat, negative for a hollow"),
    ("contact_radius", "m", Range(0.0, 1.0), "radius of the pressed circle"),
    ("greatest_shear_stress", "Pa", Range(0.0, 1e11), "largest shear stress, below the surface"),
    ("shear_depth", "m", Range(0.0, 1.0), "how far below the surface it lies"),
    ("crown_radius", "m", above_zero(100.0), "radius of the follower's crown across the lobe"),
    ("half_length_across", "m", Range(0.0, 1.0), "half the ellipse of contact, across the lobe"),
    ("half_length_along", "m", Range(0.0, 1.0), "half the ellipse of contact, along the way of rolling"),
    # --- lobes from a card ---
    ("upper_duration", "rad", above_zero(2.0 * math.pi), "duration above the upper checking height", "crank"),
    ("upper_checking_height", "m", above_zero(0.03), "highest lift of a duration", "at the lobe"),
    ("end_order", "1", Range(3.0, 80.0, low_excluded=True),
     "order with which the lift begins and ends; above 3 the jerk is continuous"),
    ("lobe_jerk_at_angle", "m/rad3", ANY, "third derivative of the lobe's lift", "crank"),
    # --- cam laws ---
    ("rise_velocity", "1", ANY, "velocity of a law in lifts over flank angle"),
    ("rise_acceleration", "1", ANY, "acceleration of a law in lifts over flank angle squared"),
    ("rise_jerk", "1", ANY, "jerk of a law in lifts over flank angle cubed"),
    ("peak_velocity", "1", _PURE, "largest velocity of a law, in lifts over flank angle"),
    ("peak_velocity_at", "1", Range(0.0, 1.0), "share of the rise at which it is reached"),
    ("peak_acceleration", "1", _PURE, "largest acceleration of a law, in lifts over flank angle squared"),
    ("peak_acceleration_at", "1", Range(0.0, 1.0), "share of the rise at which it is first reached"),
    ("peak_jerk", "1", _PURE, "largest jerk of a law, in lifts over flank angle cubed, without its sign"),
    ("velocity_integral", "1", ANY, "integral of a law's velocity over the rise: the whole lift, 1"),
    ("acceleration_integral", "1", ANY, "integral of a law's acceleration over the rise: 0"),
    ("mean_lift_fraction", "1", Range(0.0, 1.0), "mean of a law's lift over the rise"),
    ("greatest_velocity", "m/s", _PURE, "largest velocity of the tappet on the flank"),
    ("greatest_acceleration", "m/s2", _PURE, "largest acceleration of the tappet on the flank"),
    ("least_curvature_radius", "m", ANY, "least radius of curvature of the lobe's flank; below 0 undercut"),
    ("least_curvature_at", "1", Range(0.0, 1.0), "share of the rise at which it lies"),
    ("greatest_pressure_angle", "rad", Range(0.0, math.pi / 2), "largest angle between push and path"),
    ("greatest_jerk", "m/s3", _PURE, "largest jerk of the tappet on the flank, without its sign"),
    ("flank_lift", "m", Range(0.0, 0.03), "lift of the lobe at a place of the rise"),
    ("flank_velocity", "m/rad", ANY, "first derivative of that lift", "cam"),
    ("flank_acceleration", "m/rad2", ANY, "second derivative of that lift", "cam"),
    ("pressure_angle", "rad", Range(0.0, math.pi / 2), "angle between push and the roller's path"),
    ("roller_curvature_radius", "m", ANY, "radius of the lobe below a roller; negative is hollow"),
    ("flat_curvature_radius", "m", ANY, "radius of a lobe with the same lift below a flat follower"),
    ("lash_at_lobe", "m", Range(0.0, 0.004), "lift of the lobe that the lash at the valve takes"),
    # --- crank ---
    ("rod_ratio", "1", Range(1.0, 50.0, low_excluded=True), "rod over throw, which is half the stroke"),
    ("greatest_speed_ratio", "1", Range(1.0, 10.0), "largest over mean piston speed"),
    ("greatest_speed_angle", "rad", Range(0.0, math.pi / 2), "where it is fastest", "crank, ATDC"),
    ("greatest_piston_speed", "m/s", _PURE, "largest speed of the piston"),
    ("rod_angle", "rad", Range(-math.pi / 2, math.pi / 2), "rod's lean from the bore's axis"),
    ("pin_angle_at_top", "rad", Range(-math.pi / 2, math.pi / 2),
     "crankpin past the bore's line while the piston is at its top", "crank"),
    ("bottom_centre_angle", "rad", Range(0.0, 2.0 * math.pi),
     "from the piston's top to its bottom dead centre", "crank"),
    ("primary_acceleration", "m/s2", ANY, "part that goes round with the crank, downwards positive"),
    ("secondary_acceleration", "m/s2", ANY, "part that goes round twice as fast, downwards positive"),
    ("approximate_acceleration", "m/s2", ANY, "both parts together, downwards positive"),
    ("angle_at_fall", "rad", Range(0.0, math.pi), "where the piston has fallen so far", "crank"),
    # --- timing ---
    ("added_advance", "rad", Range(-math.pi / 3, math.pi / 3),
     "camshaft earlier than the stated centreline; negative is later", "crank"),
    ("open_time", "s", Range(0.0, math.inf), "time from opening to closing"),
    # --- heat and skimming ---
    ("engine_expansion", "1/K", Range(0.0, 1e-4), "thermal expansion of block or head: 23e-6 aluminium"),
    ("rod_expansion", "1/K", Range(0.0, 1e-4), "thermal expansion of the pushrod: 12e-6 steel"),
    ("growing_height", "m", _SIZE, "height of that metal between cam and rocker"),
    ("hot_preload_loss", "m", Range(-0.01, 0.01), "lifter preload that warming takes away"),
    ("face_angle", "rad", Range(0.0, math.pi / 2), "between the intake face's normal and the bore's axis"),
    ("face_gap_change", "m", Range(0.0, 0.01), "intake flange nearer to its face by a skim, on one side"),
    ("port_mismatch", "m", Range(0.0, 0.01), "ports lower than the flange's by a skim, along the face"),
    # --- rockers and valves ---
    ("rocker_arm", "m", _SMALL, "from the rocker's axis to its contact on the valve"),
    ("square_lift", "m", _LIFT, "lift at which that arm stands square to the valve; half the lift is best"),
    ("sweep_width", "m", _PURE, "width of the rocker's path over the valve tip"),
    ("closed_contact", "m", ANY, "contact, valve closed, from that when square; negative nearer to the axis"),
    ("open_contact", "m", ANY, "contact at full lift, from that when square; negative nearer to the axis"),
    ("intake_valve_lift", "m", _LIFT, "lift of the intake valve at the moment looked at"),
    ("exhaust_valve_lift", "m", _LIFT, "lift of the exhaust valve at the same moment"),
    ("intake_cant", "rad", Range(-math.pi / 4, math.pi / 4),
     "intake valve's axis leans so that its head nears the exhaust valve as it opens"),
    ("exhaust_cant", "rad", Range(-math.pi / 4, math.pi / 4),
     "exhaust valve's axis leans so that its head nears the intake valve as it opens"),
    ("canted_valve_gap", "m", ANY, "least gap between two valve heads whose axes lie in one plane"),
)
# fmt: on
