"""Quantities of lobes as measured, of overlap, loads and clearances at the bench, for the glossary."""

from __future__ import annotations

import math

from tappetry.engineering.ranges import ANY, Range, above_zero

TURN = 2.0 * math.pi
_SMALL = above_zero(0.1)
_LASH = Range(0.0, 0.002)
_LIFT = above_zero(0.03)
_EXPONENT = Range(3.2, 20.0)
_MASS = above_zero(5.0)
_PURE = Range(0.0, math.inf)

# fmt: off
ROWS = (
    # --- overlap, events, phaser ---
    ("intake_lobe_lift", "m", _LIFT, "largest lift of the intake lobe"),
    ("intake_lobe_exponent", "1", _EXPONENT, "exponent p of the intake's power lobe"),
    ("intake_lobe_half_width", "rad", above_zero(TURN), "from the intake's nose to where it ends", "crank"),
    ("exhaust_lobe_lift", "m", _LIFT, "largest lift of the exhaust lobe"),
    ("exhaust_lobe_exponent", "1", _EXPONENT, "exponent p of the exhaust's power lobe"),
    ("exhaust_lobe_half_width", "rad", above_zero(TURN), "from the exhaust's nose to where it ends", "crank"),
    ("overlap_area", "m.rad", _PURE, "lesser lift of both valves over the angle of overlap", "crank"),
    ("intake_overlap_area", "m.rad", _PURE, "intake valve's lift over the same angle", "crank"),
    ("exhaust_overlap_area", "m.rad", _PURE, "exhaust valve's lift over the same angle", "crank"),
    ("valve_checking_height", "m", above_zero(0.02), "lift of the valve at which its duration is read"),
    ("height_at_lobe", "m", _PURE, "lift of the lobe at which the valve has its checking height"),
    ("lash_loss", "rad", _PURE, "duration that the lash takes", "crank"),
    ("phaser_cam_travel", "rad", Range(0.0, math.pi / 6), "travel of the phaser's rotor", "cam"),
    # --- forces of the crank train ---
    ("piston_mass", "kg", _MASS, "piston with its rings"),
    ("pin_mass", "kg", _MASS, "piston pin with its locks"),
    ("small_end_mass", "kg", _MASS, "small end of the rod on the scale, big end held level"),
    ("reciprocating_mass", "kg", above_zero(15.0), "all that goes up and down with the piston"),
    ("pressure_on_piston", "Pa", Range(-1e5, 3e7), "above the crankcase's; negative is vacuum", "gauge"),
    ("inertia_force", "N", ANY, "force of inertia on the piston, along the bore, downwards positive"),
    ("gas_force", "N", ANY, "force of the gas on the piston, downwards positive"),
    ("rod_force", "N", ANY, "push along the rod; negative is pull"),
    ("side_force", "N", ANY, "piston on the wall; positive away from where the crankpin swings after TDC"),
    ("throw_torque", "N.m", ANY, "torque of one cylinder on its throw"),
    # --- contact along a lobe ---
    ("lobe_radius", "m", Range(-math.inf, math.inf, may_be_infinite=True),
     "radius of curvature of the lobe's surface where it is touched; negative is hollow"),
    ("pressed_load", "N", _PURE, "load between lobe and follower, square to both; 0 where it does not bear"),
    ("pad_diameter", "m", _SMALL, "diameter of the flat tappet's pad that may bear"),
    ("contact_offset", "m", ANY, "line of contact off the tappet's axis; positive while it opens"),
    ("pad_margin", "m", ANY, "from the end of the line of contact to the pad's rim; negative runs off"),
    # --- measured lobe ---
    ("table_angle", "rad", Range(-2 * TURN, 2 * TURN), "angle on the table's own scale", "crank"),
    ("table_angles", "rad", Range(-2 * TURN, 2 * TURN),
     "angles of a lift table: even steps round one turn of the cam, two of the crank", "crank"),
    ("table_lifts", "m", Range(-0.001, 0.03), "lift read at each angle of the table, base circle included"),
    ("nose_angle", "rad", ANY, "where the smoothed lift is largest, on the table's scale", "crank"),
    ("reading_noise", "m", _PURE, "standard deviation of a reading from the smooth lobe, estimated"),
    ("worst_residual", "m", ANY, "largest reading less smooth lift, with its sign"),
    ("worst_residual_at", "rad", ANY, "angle of the table at which it stands", "crank"),
    ("fitted_freedom", "1", _PURE, "parameters that the smooth curve takes up"),
    ("opening_velocity", "m/rad", ANY, "largest slope of the opening flank", "crank"),
    ("closing_velocity", "m/rad", ANY, "steepest slope of the closing flank; negative", "crank"),
    ("opening_acceleration", "m/rad2", ANY, "largest acceleration of the opening flank", "crank"),
    ("closing_acceleration", "m/rad2", ANY, "largest acceleration of the closing flank", "crank"),
    ("least_acceleration", "m/rad2", ANY, "lowest acceleration, about the nose; negative", "crank"),
    ("opening_width", "rad", _PURE, "from the checking height going up to the nose", "crank"),
    ("closing_width", "rad", _PURE, "from the nose to the checking height going down", "crank"),
    ("flank_difference", "rad", ANY, "closing less opening width; 0 for a symmetrical lobe", "crank"),
    # --- rocker geometry ---
    ("cup_arm", "m", _SMALL, "from the rocker's axis to the pushrod's cup"),
    ("cup_square_lift", "m", Range(0.0, 0.05), "tappet lift at which that arm stands square to the pushrod"),
    ("rod_lean", "rad", Range(-math.pi / 6, math.pi / 6),
     "between tappet bore and closed pushrod; positive moves the rod's foot to the valve as it lifts"),
    ("moved_valve_lift", "m", ANY, "lift of the valve at that lift of the tappet"),
    ("effective_ratio", "1", ANY, "speed of the valve over that of the tappet at that lift"),
    ("mean_ratio", "1", ANY, "lift of the valve over that of the tappet"),
    # --- bench: clearances and stock ---
    ("clay_thickness", "m", Range(0.0, 0.02), "clay where it is thinnest, cut along the valve's axis"),
    ("checking_gasket", "m", Range(0.0, 0.01), "thickness of the gasket in the check as it was pressed then"),
    ("checking_lash", "m", _LASH, "lash at the valve in the check; 0 where it was set tight"),
    ("probe_angles", "rad", Range(-math.pi, math.pi), "crank angles of the check, rising", "crank, ATDC"),
    ("probe_readings", "m", Range(0.0, 0.05), "dial when the valve is pushed on to the piston, each angle"),
    ("dial_lean", "rad", Range(0.0, math.pi / 6), "between the dial's plunger and the valve's axis"),
    ("open_height", "m", ANY, "height of the spring at full lift"),
    ("coil_gap", "m", ANY, "gap between two coils at full lift, alike between all; negative binds"),
    ("zero_lash_length", "m", above_zero(1.0), "pushrod length at which the lash is just gone, measured"),
    ("least_preload", "m", Range(0.0, 0.01), "least preload that the lifter's maker allows"),
    ("greatest_preload", "m", Range(0.0, 0.01), "largest preload that the lifter's maker allows"),
    ("stock_lengths", "m", above_zero(1.0), "pushrod lengths that can be had, in the same convention"),
    ("pushrod_number", "1", _PURE, "place of the chosen length in the list, counted from 1"),
    ("chosen_length", "m", above_zero(1.0), "the chosen length"),
    ("window_miss", "m", _PURE, "how far the best preload lies outside the window; 0 where it fits"),
    ("pocket_diameter", "m", _SMALL, "across the valve's pocket in the piston, square to the valve"),
    ("pocket_offset", "m", Range(0.0, 0.02), "pocket's centre from the valve's axis where the two meet"),
    ("pocket_radial_gap", "m", ANY, "valve's head to the wall of its pocket, tight side; negative strikes"),
    # --- springs ---
    ("new_free_length", "m", above_zero(1.0), "free length of the same spring when it was new"),
    ("length_lost", "m", _PURE, "how much shorter the free spring has become"),
    ("load_lost", "N", _PURE, "load that the set took at any height"),
    ("load_kept", "1", ANY, "share of the reference load that is left"),
    ("wanted_load", "N", above_zero(1e5), "load that has to be left in service"),
    ("relaxation", "1", Range(0.0, 0.5), "share of the load that goes with heat and time"),
    ("load_to_order", "N", _PURE, "load of the new spring at the same height"),
    ("cylinder_coils", "1", above_zero(50.0), "active coils of a beehive's cylinder"),
    ("cone_coils", "1", above_zero(50.0), "active coils of a beehive's cone"),
    # --- head clamp ---
    ("bolts_per_cylinder", "1", Range(1.0, 20.0), "head bolts over cylinders of one head"),
    ("firing_pressure", "Pa", above_zero(3e7), "highest pressure in the cylinder", "gauge"),
    ("gasket_area", "m2", above_zero(0.1), "area of gasket that one cylinder's bolts press"),
    ("gas_load", "N", _PURE, "force of the gas that lifts the head over one cylinder"),
    ("gas_load_per_bolt", "N", _PURE, "that force shared among its bolts"),
    ("gasket_pressure", "Pa", _PURE, "mean pressure on the gasket, engine still"),
    ("firing_gasket_pressure", "Pa", ANY, "mean pressure left on the gasket at the highest gas pressure"),
    ("lift_factor", "1", Range(0.0, math.inf, may_be_infinite=True),
     "gas pressure at which the head lifts over the highest"),
    ("sealing_ratio", "1", ANY, "pressure left on the gasket over that of the gas"),
)
# fmt: on
