"""Calculations of valve timing: card, events, centrelines."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.sources import DEFINITION, LEVER
from tappetry.engineering import overlap_area, timing

CHAPTER = "Timing"
SYMMETRICAL = "True of symmetrical lobes; for others take the events of the card."
ONE_HEIGHT = "All durations and events belong to one checking height; never mix two."

CALCULATIONS = (
    calculation(
        timing.valve_events,
        title="Valve events from a cam card",
        chapter=CHAPTER,
        formula="IVO = Di/2 - ICL; IVC = Di/2 + ICL - 180; EVO = De/2 + ECL - 180; EVC = De/2 - ECL (deg)",
        sources=(DEFINITION,),
        cautions=(SYMMETRICAL, ONE_HEIGHT),
    ),
    calculation(
        timing.moved_timing,
        title="Events of a card with lobe separation, advanced or retarded",
        chapter=CHAPTER,
        formula="ICL - advance, ECL + advance: every event earlier by the advance, overlap as it was",
        sources=(DEFINITION,),
        cautions=(SYMMETRICAL, ONE_HEIGHT),
    ),
    calculation(
        timing.card_timing,
        title="Cam card from valve events",
        chapter=CHAPTER,
        formula="D = 180 + opens + closes; ICL = (IVC + 180 - IVO)/2; ECL = (EVO + 180 - EVC)/2 (deg)",
        sources=(DEFINITION,),
        cautions=("An event on the other side of its dead centre is negative.", ONE_HEIGHT),
    ),
    calculation(
        timing.exhaust_centreline,
        title="Exhaust centreline from lobe separation",
        chapter=CHAPTER,
        formula="ECL = 2 LSA - ICL",
        sources=(DEFINITION,),
    ),
    calculation(
        timing.lobe_separation,
        title="Lobe separation from the centrelines",
        chapter=CHAPTER,
        formula="LSA = (ICL + ECL)/2",
        sources=(DEFINITION,),
    ),
    calculation(
        timing.overlap_of_durations,
        title="Overlap from durations and lobe separation",
        chapter=CHAPTER,
        outputs=("overlap",),
        formula="(Di + De)/2 - 2 LSA",
        sources=(DEFINITION,),
        cautions=(SYMMETRICAL, ONE_HEIGHT),
    ),
    calculation(
        timing.open_time,
        title="Time for which a valve is open",
        chapter=CHAPTER,
        formula="duration / speed of the crank",
        sources=(DEFINITION,),
    ),
    calculation(
        timing.overlap,
        title="Overlap",
        chapter=CHAPTER,
        formula="IVO + EVC",
        sources=(DEFINITION,),
        cautions=("Below zero is normal at a high checking height.",),
    ),
    calculation(
        timing.intake_centreline,
        title="Intake centreline from a degree wheel",
        chapter=CHAPTER,
        formula="ICL = (opening reading + closing reading) / 2",
        sources=(DEFINITION,),
        cautions=(SYMMETRICAL, "Turn in the running direction only, with the tensioner released."),
    ),
    calculation(
        timing.installed_advance,
        title="Installed advance",
        chapter=CHAPTER,
        outputs=("advance",),
        formula="centreline on the card - centreline as measured",
        sources=(DEFINITION,),
        example={"intake_centreline": 1.8675},
    ),
    calculation(
        overlap_area.overlap_area,
        title="Overlap as an angle and as an area of lift",
        chapter=CHAPTER,
        formula="integral over the overlap of the lesser of the two lifts, and of either",
        sources=(DEFINITION,),
        cautions=(SYMMETRICAL, "From seat to seat, where the lift is small: long durations, little area."),
    ),
    calculation(
        overlap_area.valve_duration,
        title="Duration of a valve behind rocker and lash",
        chapter=CHAPTER,
        formula="height at the lobe = (height at the valve + lash) / ratio; duration of the lobe above it",
        sources=(DEFINITION, LEVER),
        cautions=(SYMMETRICAL,),
    ),
    calculation(
        overlap_area.phaser_timing,
        title="Range of a phaser on the crank, and the events at its latest",
        chapter=CHAPTER,
        formula="2 x travel at the cam; ICL + range, ECL - range",
        sources=(DEFINITION,),
        cautions=(ONE_HEIGHT, "Intake and exhaust move together on one camshaft: check both clearances."),
    ),
)
