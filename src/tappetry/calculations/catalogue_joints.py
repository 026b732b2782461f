"""Calculations of screwed joints: threads, strength, depth, torque."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.sources import CHAIN, DEFINITION, practice, standard, textbook
from tappetry.engineering import joints, threads

CHAPTER = "Joints"
LUBRICANT = "A torque belongs to its lubricant; most of it is friction."

CALCULATIONS = (
    calculation(
        threads.thread_diameters,
        title="Basic diameters of a thread",
        chapter=CHAPTER,
        formula="d2 = d - 3H/4, D1 = d - 5H/4, d3 = D1 - H/6, H = sqrt(3)/2 x pitch",
        sources=(standard("ISO 68-1 and ISO 724"), standard("ASME B1.1")),
        example={"thread_pitch": 1.75e-3},
    ),
    calculation(
        threads.metric_stress_area,
        title="Stress area of a metric thread",
        chapter=CHAPTER,
        outputs=("stress_area",),
        formula="pi/4 ((d2 + d3)/2)^2",
        sources=(standard("ISO 898-1", from_memory=False),),
        example={"thread_pitch": 1.75e-3},
    ),
    calculation(
        threads.unified_stress_area,
        title="Stress area of a unified thread",
        chapter=CHAPTER,
        outputs=("stress_area",),
        formula="pi/4 (D - 0.9743 pitch)^2",
        sources=(standard("ASME B1.1"),),
        example={"nominal_diameter": 0.375 * 0.0254, "thread_pitch": 0.0254 / 16},
    ),
    calculation(
        threads.property_class_strength,
        title="Strength of a metric bolt by its mark",
        chapter=CHAPTER,
        formula="table",
        sources=(standard("ISO 898-1"),),
        choices={"property_class": threads.PROPERTY_CLASSES},
        example={"property_class": "10.9"},
    ),
    calculation(
        joints.bolt_load,
        title="Load of a bolt at a stress",
        chapter=CHAPTER,
        formula="stress area x stress",
        sources=(standard("ISO 898-1", from_memory=False),),
    ),
    calculation(
        joints.bolt_depth,
        title="Bolt in its hole",
        chapter=CHAPTER,
        formula="length - clamped; thread filled from its start; bottom - penetration",
        sources=(CHAIN, practice("1.5 d of thread in iron, 2 d in alloy, 3 mm below the bolt")),
        cautions=("Measure each hole; a drop of fluid in a blind hole cracks the block.",),
    ),
    calculation(
        joints.tension_from_torque,
        title="Bolt tension from torque",
        chapter=CHAPTER,
        outputs=("bolt_load",),
        formula="T / (K d)",
        sources=(textbook("Shigley's Mechanical Engineering Design, eq. 8-27"), standard("ISO 16047")),
        cautions=(LUBRICANT,),
    ),
    calculation(
        joints.torque_for_tension,
        title="Torque for a bolt tension",
        chapter=CHAPTER,
        outputs=("torque",),
        formula="K d F",
        sources=(textbook("Shigley's Mechanical Engineering Design, eq. 8-27"), standard("ISO 16047")),
        cautions=(LUBRICANT, "The engine's own service data win over any computed torque."),
    ),
    calculation(
        joints.tightening_travel,
        title="Advance of a bolt in an angle",
        chapter=CHAPTER,
        formula="pitch x angle / one turn",
        sources=(DEFINITION,),
        example={"thread_pitch": 1.75e-3},
    ),
)
