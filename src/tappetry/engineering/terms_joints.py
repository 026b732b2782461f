"""Quantities of screwed joints: names, units, ranges and meanings for the glossary."""

from __future__ import annotations

import math

from tappetry.engineering.ranges import ANY, Range, above_zero

_STIFF = above_zero(1e12)
_FORCE = Range(0.0, 1e8)
_SIZE = above_zero(1.0)
_SCREW = above_zero(0.5)
_STRESS = above_zero(1e10)
_FRICTION = above_zero(1.0)
_EXPANSION = Range(-1e-4, 1e-3)
_FACTOR = Range(0.0, math.inf, may_be_infinite=True)

# fmt: off
ROWS = (
    # --- load sharing ---
    ("bolt_preload", "N", above_zero(1e7), "pull in the bolt after tightening, no outer load"),
    ("bolt_stiffness", "N/m", _STIFF, "stiffness of the bolt between head and thread"),
    ("joint_stiffness", "N/m", _STIFF, "stiffness of all that is clamped"),
    ("joint_constant", "1", above_zero(1.0), "share of an outer load that the bolt feels, joint shut"),
    ("external_load", "N", _FORCE, "outer load that pulls at one bolt"),
    ("clamp_load", "N", _FORCE, "force between the clamped parts; 0 once they part"),
    ("separation_load", "N", _FORCE, "outer load of one bolt at which the parts let go of each other"),
    ("yield_factor", "1", _FACTOR, "proof load over the bolt's load"),
    ("overload_factor", "1", _FACTOR, "factor on the outer load at which the bolt meets its proof load"),
    ("separation_factor", "1", _FACTOR, "factor on the outer load at which the joint parts"),
    ("proof_share", "1", above_zero(1.0), "preload over proof load: 0.75 if it is opened again, 0.90 if not"),
    ("load_factor", "1", above_zero(100.0), "factor wanted on the outer load"),
    ("total_load", "N", above_zero(1e8), "outer load of the whole joint"),
    ("bolts_required", "1", above_zero(1e6), "number of bolts that the load asks for, not rounded"),
    ("bolt_count", "1", above_zero(1e6), "that number rounded up"),
    ("preload_gain", "N", _FORCE, "preload that an angle after snug adds"),
    ("bolt_stretch", "m", Range(0.0, 0.1), "lengthening of the bolt under its load"),
    # --- heat ---
    ("joint_expansion", "1/K", _EXPANSION, "thermal expansion of the clamped parts: 23.1e-6 aluminium"),
    ("bolt_expansion", "1/K", _EXPANSION, "thermal expansion of the bolt: 11.7e-6 steel"),
    ("temperature_rise", "K", Range(-1000.0, 1000.0), "bolt and parts warmer than when tightened"),
    ("thermal_load_change", "N", Range(-1e8, 1e8), "change of the preload by heat; positive tightens"),
    # --- stiffness ---
    ("grip", "m", _SIZE, "thickness of all that is clamped, washer included"),
    ("shank_length", "m", Range(0.0, 1.0), "unthreaded length of the bolt within the grip"),
    ("grip_thread_length", "m", Range(0.0, 1.0), "threaded length of the bolt within the grip"),
    ("washer_face_diameter", "m", _SCREW, "outside diameter of what presses: washer face, flange or washer"),
    ("cone_half_angle", "rad", Range(0.1, 1.2), "half angle of the cone of pressure; 30 degrees"),
    ("frustum_thickness", "m", _SIZE, "thickness of the piece of cone in one material"),
    ("frustum_diameter", "m", _SCREW, "diameter of that piece where it is narrower"),
    ("frustum_stiffness", "N/m", _STIFF, "stiffness of that piece"),
    ("pressed_area", "m2", above_zero(1.0), "area on which a layer is pressed, for one bolt"),
    ("layer_thickness", "m", above_zero(0.1), "thickness of the layer"),
    ("layer_modulus", "Pa", Range(1e5, 1e12), "modulus of the layer in pressing"),
    ("layer_stiffness", "N/m", _STIFF, "stiffness of the layer"),
    ("stiffnesses", "N/m", _STIFF, "stiffnesses of the parts"),
    ("parallel_stiffness", "N/m", _STIFF, "stiffness of all of them side by side"),
    ("series_stiffness", "N/m", _STIFF, "stiffness of all of them together"),
    # --- tightening ---
    ("thread_friction", "1", _FRICTION, "coefficient of friction in the thread"),
    ("head_friction", "1", _FRICTION, "coefficient of friction under head or nut"),
    ("head_friction_diameter", "m", _SCREW, "mean diameter of the ring that rubs under the head"),
    ("thread_half_angle", "rad", Range(0.0, math.pi / 4), "half the angle between the flanks; 30 degrees"),
    ("root_area", "m2", above_zero(0.05), "area at the root of the bolt's thread"),
    ("head_outer_diameter", "m", _SCREW, "outside diameter of the bearing ring under the head, dw"),
    ("through_hole_diameter", "m", _SCREW, "diameter of the through hole, inside of that ring, dh"),
    ("yield_share", "1", above_zero(1.0), "share of the yield strength that tightening uses, twist included"),
    ("thread_torque", "N.m", Range(0.0, 1e5), "part of the torque that the thread takes"),
    ("head_torque", "N.m", Range(0.0, 1e5), "part of the torque that the head takes"),
    ("pull_stress", "Pa", Range(0.0, 1e11), "stress of the core by the preload alone"),
    ("twist_stress", "Pa", Range(0.0, 1e11), "shear stress of the core by the thread's torque"),
    ("combined_stress", "Pa", Range(0.0, 1e11), "both together, by the shape-change hypothesis"),
    # --- strength by mark, and the thread itself ---
    ("nominal_tensile_strength", "Pa", _STRESS, "tensile strength that the mark spells"),
    ("nominal_yield_strength", "Pa", _STRESS, "yield strength that the mark spells"),
    ("thread_height", "m", above_zero(0.1), "height of the thread's fundamental triangle"),
    ("lead_angle", "rad", Range(0.0, 1.0), "rise of a single-start thread at its pitch diameter"),
    ("tap_drill", "m", _SCREW, "hole that is drilled for the tap"),
    ("bolt_tensile_strength", "Pa", _STRESS, "tensile strength of the bolt"),
    ("hole_tensile_strength", "Pa", _STRESS, "tensile strength of what is tapped"),
    ("shear_share", "1", above_zero(1.0), "shear strength over tensile strength"),
    ("bolt_shear_area", "m2", above_zero(1.0), "area at which the bolt's thread shears off"),
    ("hole_shear_area", "m2", above_zero(1.0), "area at which the hole's thread shears out"),
    ("bolt_strip_load", "N", _FORCE, "load that strips the bolt's thread"),
    ("hole_strip_load", "N", _FORCE, "load that strips the hole's thread"),
    # --- bolts that were used ---
    ("measured_length", "m", _SIZE, "length of the used bolt, clean and cold"),
    ("new_length", "m", _SIZE, "its length when new, recorded or on the maker's drawing"),
    ("allowed_stretch", "m", Range(0.0, 0.02), "how much longer it may have become: the maker's limit"),
    ("permanent_stretch", "m", ANY, "how much longer it is than new"),
    ("stretch_left", "m", ANY, "left before the limit; below 0 the bolt is not used again"),
    # --- what is lost ---
    ("settlement", "m", Range(0.0, 1e-3), "what threads and faces settle after tightening, all together"),
    ("settling_loss", "N", _FORCE, "preload that settling takes away"),
    ("tightening_factor", "1", Range(1.0, 10.0), "largest over least preload of a way of tightening"),
    ("least_bolt_preload", "N", above_zero(1e7), "least preload that this way of tightening gives"),
    ("head_bearing_pressure", "Pa", Range(0.0, 1e12), "mean pressure under the bolt's head"),
    # --- fatigue ---
    ("least_external_load", "N", _FORCE, "least outer load at one bolt"),
    ("greatest_external_load", "N", _FORCE, "greatest outer load at one bolt"),
    ("endurance_strength", "Pa", _STRESS, "stress amplitude that the bolt's thread endures, corrected"),
)
# fmt: on
