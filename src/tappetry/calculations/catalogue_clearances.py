"""Calculations of clearances: piston to valve, phaser, bore, gasket, rings."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.sources import CHAIN, DEFINITION, GEOMETRY, practice, standard
from tappetry.engineering import bench_clearance, clearances, phaser, piston_to_valve

CHAPTER = "Clearances"
PREDICTION = "A prediction: measure with clay or a dial, on the gasket's compressed thickness."
HAND = "Turn the engine slowly by hand, plugs out, fingers clear; where it stops, do not force it."
RODS = "Steel rods at street speeds; alloy rods, high speeds and loose chains need more."

CALCULATIONS = (
    calculation(
        piston_to_valve.intake_piston_to_valve,
        title="Piston to intake valve",
        chapter=CHAPTER,
        formula="least of valve drop + piston fall x cos(valve angle) - lift at the valve, each crank degree",
        sources=(GEOMETRY, practice("0.080 in at least")),
        cautions=(PREDICTION, RODS),
    ),
    calculation(
        piston_to_valve.exhaust_piston_to_valve,
        title="Piston to exhaust valve",
        chapter=CHAPTER,
        formula="least of valve drop + piston fall x cos(valve angle) - lift at the valve, each crank degree",
        sources=(GEOMETRY, practice("0.100 in at least")),
        cautions=(PREDICTION, RODS, "A kept phaser is checked at both ends of its travel."),
    ),
    calculation(
        phaser.safe_retard,
        title="Greatest safe retard of a phaser",
        chapter=CHAPTER,
        formula="retard at which the exhaust clearance is the required one",
        sources=(GEOMETRY,),
        cautions=(PREDICTION, "Round down, and limit the calibration to the same number as the hardware."),
        example={"required_clearance": 2.54e-3, "valve_drop": 7.62e-3},
    ),
    calculation(
        phaser.needed_retard,
        title="Retard that gives the intake its clearance",
        chapter=CHAPTER,
        formula="retard at which the intake clearance is the required one",
        sources=(GEOMETRY,),
        cautions=(PREDICTION, "Retard takes clearance from the exhaust: check it again."),
        example={"valve_drop": 4.5e-3},
    ),
    calculation(
        phaser.floored_retard,
        title="Safe retard rounded down",
        chapter=CHAPTER,
        formula="floor(safe retard / step) x step",
        sources=(practice("to half a degree, never up"),),
    ),
    calculation(
        clearances.valve_edge_to_bore,
        title="Valve edge to cylinder wall",
        chapter=CHAPTER,
        formula="(bore - valve span) / 2",
        sources=(GEOMETRY, practice("1.0 mm and the chamfer at least")),
    ),
    calculation(
        clearances.valve_to_valve,
        title="Valve to valve, parallel",
        chapter=CHAPTER,
        formula="centres - (intake head + exhaust head) / 2",
        sources=(GEOMETRY,),
        cautions=("Canted valves come nearer in overlap and have to be measured.",),
    ),
    calculation(
        clearances.canted_valve_gap,
        title="Valve to valve, canted",
        chapter=CHAPTER,
        formula="least distance between the two heads, seen from the side",
        sources=(GEOMETRY, practice("1.5 mm in overlap at least")),
        cautions=(PREDICTION, "Thin discs: the thickness of the heads is left out."),
    ),
    calculation(
        clearances.gasket_over_bore,
        title="Gasket bore over cylinder bore",
        chapter=CHAPTER,
        formula="gasket bore - bore",
        sources=(GEOMETRY, practice("1 to 4 mm")),
    ),
    calculation(
        clearances.ring_gap,
        title="Room for an O-ring",
        chapter=CHAPTER,
        formula="(bore - groove diameter) / 2",
        sources=(GEOMETRY,),
    ),
    calculation(
        clearances.ring_squeeze,
        title="Squeeze of an O-ring",
        chapter=CHAPTER,
        formula="(section - gap) / section",
        sources=(DEFINITION, standard("ISO 3601-2"), practice("15 to 25 % on a pickup tube")),
    ),
    calculation(
        bench_clearance.clay_clearance,
        title="Piston to valve by clay",
        chapter=CHAPTER,
        outputs=("minimum_clearance",),
        formula="clay + (gasket - gasket in the check) x cos(valve angle) + lash - lash in the check",
        sources=(CHAIN, practice("0.080 in intake, 0.100 in exhaust at least")),
        cautions=(
            "Clay shows the side that it lies on: cover the pocket to its rim, and look at the radial room.",
            "A hydraulic lifter bleeds down and shows too much: check with a solid one.",
            HAND,
        ),
    ),
    calculation(
        bench_clearance.checking_spring_clearance,
        title="Piston to valve by checking springs and a dial",
        chapter=CHAPTER,
        formula="least reading x cos(lean) + (gasket - gasket in the check) x cos(valve angle) + lash change",
        sources=(CHAIN, practice("0.080 in intake, 0.100 in exhaust at least")),
        cautions=(
            "Checking springs only: never run the engine on them.",
            "A hydraulic lifter bleeds down and shows too much: check with a solid one.",
            HAND,
        ),
    ),
    calculation(
        clearances.pocket_radial_gap,
        title="Valve's head to the wall of its pocket",
        chapter=CHAPTER,
        formula="(pocket - head)/2 - offset",
        sources=(GEOMETRY, practice("0.050 in at least")),
        cautions=("Mark the pocket through the guide; a moved guide or a larger valve moves it.", HAND),
    ),
)
