"""Calculations of the lobe: its law, its fit to a cam card, its nose."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.model import Source
from tappetry.calculations.sources import DEFINITION, GEOMETRY, practice, textbook
from tappetry.engineering import card_lobe, flanks, lobe, lobe_fit, measured_lobe, nose, rise_laws

CHAPTER = "Lobe"
RISE = textbook("Norton, Design of Machinery, chapter 8 and table 8-3")
FLANK = textbook("Norton, Cam Design and Manufacturing Handbook")
LAWS = {"rise_law": rise_laws.RISE_LAWS}
BETA = Source("incomplete beta function; coefficients from the conditions at either end", "textbook")
LAW = Source("five-term power law; coefficients from its conditions at either end", "textbook")
SMOOTHING = textbook("Wahba, Spline Models for Observational Data, chapters 2 and 4")
TABLE = "Two turns of the crank in even steps, base circle included, the engine turned one way only."
TURNING = "Turn the engine by hand, plugs out, hands clear of chain and rockers."

CALCULATIONS = (
    calculation(
        lobe_fit.fit_lobe,
        title="Power lobe from a cam card",
        chapter=CHAPTER,
        name="lobe-fit",
        formula="y(duration / 2) = checking height and y(seat duration / 2) = seat checking height",
        sources=(LAW,),
        cautions=("A symmetrical lobe is assumed; both durations are those at the tappet.",),
    ),
    calculation(
        card_lobe.card_lobe,
        title="Lobe from a cam card with three durations, jerk continuous",
        chapter=CHAPTER,
        formula="lift x I(1 - x^(p-2); m, 2/(p-2)) with the card's lift at each half duration",
        sources=(BETA,),
        cautions=("A symmetrical lobe is assumed; all durations are those at the tappet.",),
    ),
    calculation(
        card_lobe.card_lobe_motion,
        title="Lift, velocity, acceleration and jerk of a lobe from a card",
        chapter=CHAPTER,
        formula="slope proportional to x (1 - x^(p-2))^(m-1), x = |t| / b",
        sources=(BETA,),
        cautions=("By crank angle.",),
    ),
    calculation(
        lobe.lobe_motion,
        title="Lobe lift, velocity and acceleration at an angle",
        chapter=CHAPTER,
        formula="y = L (1 - sum of c_k x^n_k), x = |t| / b, n = 2, p, 2p-2, 3p-4, 4p-6",
        sources=(LAW,),
    ),
    calculation(
        lobe_fit.duration_at_height,
        title="Duration of a lobe above any height",
        chapter=CHAPTER,
        outputs=("duration",),
        formula="y(duration / 2) = checking height",
        sources=(LAW,),
    ),
    calculation(
        lobe.nose_acceleration,
        title="Nose acceleration of a lobe",
        chapter=CHAPTER,
        formula="y'' = -2 c_1 L / b^2",
        sources=(LAW,),
    ),
    calculation(
        lobe.nose_acceleration_estimate,
        title="Nose acceleration from lift and seat duration alone",
        chapter=CHAPTER,
        outputs=("nose_acceleration",),
        formula="y'' = -(L / 2) (2 pi / D)^2",
        sources=(Source("raised cosine", "textbook"), practice("speeds from it come out about 15 % low")),
        cautions=("An estimate for lobes whose data are not known; use no further speed factor with it.",),
    ),
    calculation(
        nose.nose_envelope,
        title="Reach of the lobe from the cam's axis",
        chapter=CHAPTER,
        formula="base circle diameter / 2 + lobe lift",
        sources=(DEFINITION,),
    ),
    calculation(
        nose.bearing_passage,
        title="Gap between nose and cam bearings",
        chapter=CHAPTER,
        formula="journal diameter / 2 - (base circle diameter / 2 + lobe lift)",
        sources=(GEOMETRY, practice("0.5 mm at least")),
    ),
    calculation(
        nose.nose_radius_roller,
        title="Nose curvature of a roller lobe",
        chapter=CHAPTER,
        outputs=("nose_radius",),
        formula="rho = Rp^2 / (Rp - y'') - Rr, Rp = base radius + lift + Rr, y'' by cam angle",
        sources=(GEOMETRY,),
        cautions=("For the contact pressure; the nose envelope is another number.",),
    ),
    calculation(
        nose.nose_radius_flat,
        title="Nose curvature of a flat-follower lobe",
        chapter=CHAPTER,
        outputs=("nose_radius",),
        formula="rho = base radius + lift + y'', y'' by cam angle",
        sources=(textbook("Norton, Cam Design and Manufacturing Handbook, flat-faced follower"),),
        example={"base_circle_diameter": 31e-3, "lobe_lift": 6.655e-3, "nose_acceleration": -4.345e-3},
    ),
    calculation(
        rise_laws.lift_fraction,
        title="Lift of a cam law",
        chapter=CHAPTER,
        choices=LAWS,
        formula="3-4-5: 10x^3 - 15x^4 + 6x^5; 4-5-6-7: 35x^4 - 84x^5 + 70x^6 - 20x^7; ...",
        sources=(RISE,),
        example={"rise_law": "3-4-5"},
    ),
    calculation(
        rise_laws.rise_motion,
        title="Lift, velocity, acceleration and jerk of a cam law",
        chapter=CHAPTER,
        choices=LAWS,
        formula="derivatives by the share of the rise; times lift over flank^k they are by cam angle",
        sources=(RISE,),
        example={"rise_law": "4-5-6-7"},
    ),
    calculation(
        rise_laws.rise_peaks,
        title="Largest velocity, acceleration and jerk of a cam law",
        chapter=CHAPTER,
        choices=LAWS,
        formula="3-4-5: 1.875, 10/sqrt 3, 60; 4-5-6-7: 35/16, 84 sqrt 5/25, 52.5; ...",
        sources=(RISE,),
        example={"rise_law": "4-5-6-7"},
    ),
    calculation(
        rise_laws.rise_integrals,
        title="Integrals of a cam law over its rise",
        chapter=CHAPTER,
        choices=LAWS,
        formula="of the velocity 1, of the acceleration 0, of the lift its mean",
        sources=(DEFINITION,),
        example={"rise_law": "4-5-6-7"},
    ),
    calculation(
        flanks.flank_motion,
        title="Largest velocity, acceleration and jerk of the tappet on a flank",
        chapter=CHAPTER,
        choices=LAWS,
        formula="cv L w/(2 flank), ca L (w/(2 flank))^2, cj L (w/(2 flank))^3",
        sources=(RISE,),
        cautions=("The flank in degrees of the cam; the cam turns at half the crank's speed.",),
        example={"rise_law": "3-4-5"},
    ),
    calculation(
        flanks.flat_curvature,
        title="Least radius of curvature of a flank with a flat follower",
        chapter=CHAPTER,
        choices=LAWS,
        formula="base radius + s + s'' by cam angle",
        sources=(FLANK,),
        cautions=("Below 0 undercut: a larger base circle, less lift or a longer flank.",),
        example={"rise_law": "3-4-5"},
    ),
    calculation(
        flanks.roller_flank,
        title="Least radius of curvature and pressure angle of a roller lobe's flank",
        chapter=CHAPTER,
        choices=LAWS,
        formula="(R^2 + s'^2)^1.5/(R^2 + 2 s'^2 - R s'') - Rr; atan(s'/R); R = base radius + Rr + s",
        sources=(FLANK, practice("30 degrees of pressure angle at most")),
        example={"rise_law": "4-5-6-7"},
    ),
    calculation(
        flanks.flank_position,
        title="Lift, derivatives, pressure angle and curvature at one place of a flank",
        chapter=CHAPTER,
        choices=LAWS,
        formula="atan(s'/R); (R^2 + s'^2)^1.5/(R^2 + 2 s'^2 - R s'') - Rr; base radius + s + s''",
        sources=(FLANK,),
        example={"rise_law": "4-5-6-7"},
    ),
    calculation(
        measured_lobe.measured_lobe,
        title="Lobe from a measured lift table: noise, lift, velocities, accelerations",
        chapter=CHAPTER,
        formula="least (reading - f)^2 + s x jerk^2, s by cross-validation; noise^2 = res^2/(n - freedom)",
        sources=(SMOOTHING,),
        cautions=(TABLE, TURNING),
    ),
    calculation(
        measured_lobe.measured_lobe_motion,
        title="Lift, velocity, acceleration and jerk of a measured lobe at an angle",
        chapter=CHAPTER,
        formula="sum of c_k/(1 + s k^6) x exp(i k angle/2), and its derivatives",
        sources=(SMOOTHING,),
        cautions=(TABLE, "By crank angle; each derivative is less sure than the one before."),
    ),
    calculation(
        measured_lobe.measured_lobe_curvature,
        title="Radius of curvature of a measured lobe at an angle",
        chapter=CHAPTER,
        formula="(R^2 + R'^2)^1.5/(R^2 + 2 R'^2 - R R'') - roller; base circle/2 + f + f'' for a flat tappet",
        sources=(FLANK,),
        cautions=(TABLE, "True of the tappet with which the table was read."),
    ),
    calculation(
        measured_lobe.measured_flanks,
        title="Duration and unlike flanks of a measured lobe",
        chapter=CHAPTER,
        formula="angles from the nose to the height, either side; closing less opening",
        sources=(DEFINITION,),
        cautions=(TABLE,),
    ),
)
