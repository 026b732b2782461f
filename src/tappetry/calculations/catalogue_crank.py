"""Calculations of the slider-crank: piston position and speed, swept volume."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.sources import GEOMETRY, textbook
from tappetry.engineering import crank, crank_forces, dead_centres, piston_speed

CHAPTER = "Crank"
SLIDER = textbook("Heywood, Internal Combustion Engine Fundamentals, chapter 2")

CALCULATIONS = (
    calculation(
        crank.piston_fall,
        title="Piston below top dead centre",
        chapter=CHAPTER,
        formula="s = r + l - (r cos a + sqrt(l^2 - r^2 sin^2 a)) with no pin offset",
        sources=(SLIDER,),
    ),
    calculation(
        crank.piston_travel,
        title="Piston travel with an offset pin",
        chapter=CHAPTER,
        formula="sqrt((l + r)^2 - e^2) - sqrt((l - r)^2 - e^2)",
        sources=(GEOMETRY,),
    ),
    calculation(
        dead_centres.dead_centres,
        title="Dead centres and travel of a piston with an offset pin",
        chapter=CHAPTER,
        formula="top asin(e/(l + r)) past the bore's line; bottom pi + asin(e/(l - r)) less that later",
        sources=(GEOMETRY,),
    ),
    calculation(
        crank.piston_velocity,
        title="Piston velocity",
        chapter=CHAPTER,
        formula="w r (sin a + r sin a cos a / sqrt(l^2 - r^2 sin^2 a)) with no pin offset",
        sources=(SLIDER,),
    ),
    calculation(
        crank.piston_acceleration,
        title="Piston acceleration",
        chapter=CHAPTER,
        formula="w^2 r (1 + r/l) at top, -w^2 r (1 - r/l) at bottom dead centre with no pin offset",
        sources=(textbook("Norton, Design of Machinery, exact slider-crank"),),
    ),
    calculation(
        dead_centres.acceleration_orders,
        title="Piston acceleration by the first and second order of the crank",
        chapter=CHAPTER,
        formula="w^2 r (cos a + r/l cos 2a)",
        sources=(textbook("Norton, Design of Machinery, slider-crank by a series"),),
        cautions=("An approximation: exact only at the dead centres.",),
    ),
    calculation(
        crank.mean_piston_speed,
        title="Mean piston speed",
        chapter=CHAPTER,
        formula="2 x stroke x turns a second",
        sources=(SLIDER,),
    ),
    calculation(
        piston_speed.greatest_speed,
        title="Largest over mean piston speed, and where, by the rod ratio",
        chapter=CHAPTER,
        formula="pi/2 sin a (1 + cos a/sqrt(R^2 - sin^2 a)) where its slope is 0",
        sources=(SLIDER,),
        cautions=("Rod over throw, which is half the stroke.",),
    ),
    calculation(
        piston_speed.piston_speeds,
        title="Mean and largest piston speed",
        chapter=CHAPTER,
        formula="2 x stroke x turns a second; times the largest over the mean",
        sources=(SLIDER,),
    ),
    calculation(
        piston_speed.cylinder_volume,
        title="Volume of a cylinder at a crank angle",
        chapter=CHAPTER,
        formula="clearance volume + pi/4 x bore^2 x piston fall",
        sources=(SLIDER,),
    ),
    calculation(
        piston_speed.rod_angle,
        title="Lean of the connecting rod",
        chapter=CHAPTER,
        formula="asin(throw / rod x sin a)",
        sources=(GEOMETRY,),
    ),
    calculation(
        piston_speed.angle_at_fall,
        title="Crank angle for a piston fall",
        chapter=CHAPTER,
        formula="acos((r^2 + h^2 - l^2)/(2 r h)), h = r + l - fall",
        sources=(GEOMETRY,),
    ),
    calculation(
        crank.swept_volume,
        title="Swept volume of one cylinder",
        chapter=CHAPTER,
        formula="pi/4 x bore^2 x stroke",
        sources=(GEOMETRY,),
    ),
    calculation(
        crank.displacement,
        title="Displacement",
        chapter=CHAPTER,
        formula="cylinders x pi/4 x bore^2 x stroke",
        sources=(GEOMETRY,),
    ),
    calculation(
        crank_forces.reciprocating_mass,
        title="Mass that goes up and down with the piston",
        chapter=CHAPTER,
        formula="piston with rings + pin + small end of the rod",
        sources=(textbook("Norton, Design of Machinery, chapter 13"),),
    ),
    calculation(
        crank_forces.piston_forces,
        title="Forces of piston and rod: inertia, gas, rod, wall, torque",
        chapter=CHAPTER,
        formula="F = p pi/4 bore^2 - m a; along the rod F / cos(lean); on the wall F tan(lean)",
        sources=(textbook("Norton, Design of Machinery, chapter 13"),),
        cautions=(
            "The big end's own centrifugal force comes on top at the crankpin and the rod's bolts.",
            "No speed limit: the maker of rod and bolts has the last word.",
        ),
    ),
)
