"""Calculations of the valve train: lift, seal clearance, moving mass, speed limit."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.model import Source
from tappetry.calculations.sources import CHAIN, DEFINITION, DYNAMICS, GEOMETRY, LEVER, practice
from tappetry.engineering import rocker_geometry, rockers, valvetrain

CHAPTER = "Valve train"
RIGID = "The train is taken as rigid: bending pushrods and surging springs take speed away."

CALCULATIONS = (
    calculation(
        valvetrain.lift_at_valve,
        title="Lift at the valve",
        chapter=CHAPTER,
        formula="lobe lift x rocker ratio - hot lash",
        sources=(LEVER,),
        cautions=("The ratio is measured, not stamped; deflection takes 2 to 5 % away at speed.",),
    ),
    calculation(
        valvetrain.rocker_ratio,
        title="Rocker ratio from two lifts",
        chapter=CHAPTER,
        formula="lift at the valve / lift at the lobe",
        sources=(DEFINITION,),
    ),
    calculation(
        valvetrain.retainer_to_seal,
        title="Retainer to seal at full lift",
        chapter=CHAPTER,
        formula="closed distance - lift at the valve",
        sources=(CHAIN, practice("1.5 mm at least")),
    ),
    calculation(
        valvetrain.equivalent_mass,
        title="Moving mass at the valve",
        chapter=CHAPTER,
        formula="valve + retainer + locks + spring/3 + rocker + (pushrod + lifter)/ratio^2",
        sources=(DYNAMICS,),
    ),
    calculation(
        valvetrain.separation_speed,
        title="Speed at which the train parts at the nose",
        chapter=CHAPTER,
        formula="sqrt(open load / (mass x ratio x |nose acceleration|))",
        sources=(DYNAMICS,),
        cautions=(RIGID,),
    ),
    calculation(
        valvetrain.force_at_nose,
        title="Spring load that follows the nose at a speed",
        chapter=CHAPTER,
        formula="mass x ratio x |nose acceleration| x speed^2",
        sources=(DYNAMICS,),
        cautions=(RIGID,),
    ),
    calculation(
        valvetrain.working_speed,
        title="Working speed limit",
        chapter=CHAPTER,
        formula="factor x separation speed",
        sources=(practice("factor 0.90 with a known lobe, 1 with the raised-cosine estimate"),),
        cautions=("Never above the lifter's pump-up limit or the rocker's fatigue limit.",),
    ),
    calculation(
        rockers.lash_at_lobe,
        title="Lift of the lobe that the lash takes",
        chapter=CHAPTER,
        formula="lash at the valve / rocker ratio",
        sources=(LEVER,),
    ),
    calculation(
        rockers.rocker_sweep,
        title="Path of the rocker's contact over the valve tip",
        chapter=CHAPTER,
        formula="sqrt(arm^2 - (lift - square lift)^2) - arm, from closed to full lift",
        sources=(GEOMETRY, practice("2 mm wide and centred within 1 mm at most")),
        cautions=("A pushrod's length moves it on stud rockers, not on fixed pedestals.",),
    ),
    calculation(
        rockers.hot_preload_loss,
        title="Preload that warming takes away",
        chapter=CHAPTER,
        formula="(expansion of the engine - of the rod) x height x temperature rise",
        sources=(Source("thermal expansion", "textbook"),),
        cautions=("A rise is a difference: type it in K.", "On an iron block only the head's height counts."),
    ),
    calculation(
        rockers.skim_shift,
        title="Shift of the intake face by a skim",
        chapter=CHAPTER,
        formula="skim x cos(face angle) nearer, skim x sin(face angle) lower",
        sources=(GEOMETRY,),
        cautions=("The angle is the casting's own: no factor from memory holds for another engine.",),
    ),
    calculation(
        rocker_geometry.rocker_motion,
        title="Effective rocker ratio at a lift, from the rocker's geometry",
        chapter=CHAPTER,
        formula="the cup on its circle at a pushrod's length from its foot; arm x sines of its angles",
        sources=(GEOMETRY,),
        cautions=("In one plane, the rocker's axis fixed: a ball stud lets it wander, so measure the lift.",),
    ),
)
