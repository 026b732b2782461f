"""Calculations of the degree wheel: dead centre, lobe centres, events, wear, and the keyway to take."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.model import Source
from tappetry.calculations.sources import DEFINITION, GEOMETRY, practice, standard, textbook
from tappetry.engineering import degree_fit, degree_wheel, lobe_wear, polynomial_lobe, rise_laws

CHAPTER = "Degree wheel"
BY_HAND = (
    "Turn the crank by hand, plugs out, in the running direction only; never the starter against a stop."
)
RELEASED = "With the tensioner released and the slack on its side, or every reading is wrong."
MIDDLE = Source("middle of two points of equal lift", "textbook")
POLYNOMIAL = textbook("Norton, Design of Machinery, chapter 8")

CALCULATIONS = (
    calculation(
        degree_wheel.angle_after_dead_centre,
        title="Reading of a wheel marked from its dead centres",
        chapter=CHAPTER,
        choices={"wheel_side": degree_wheel.WHEEL_SIDES},
        outputs=("wheel_reading",),
        formula="ATDC: t, BTDC: 360 - t, ABDC: 180 + t, BBDC: 180 - t (deg)",
        sources=(DEFINITION,),
        example={"wheel_side": "BTDC"},
    ),
    calculation(
        degree_wheel.dead_centre_by_stop,
        title="True top dead centre by a positive stop",
        chapter=CHAPTER,
        formula="middle of the shorter arc between both readings",
        sources=(GEOMETRY, practice("both sides within half a degree, else again")),
        cautions=(BY_HAND, "Gently against the stop: it can break a ring land or a valve."),
    ),
    calculation(
        degree_wheel.corrected_reading,
        title="Reading less the wheel's error",
        chapter=CHAPTER,
        formula="(reading - wheel error) mod 360 deg",
        sources=(DEFINITION,),
    ),
    calculation(
        degree_wheel.mean_reading,
        title="Mean of readings on a circle",
        chapter=CHAPTER,
        outputs=("mean_reading", "resultant_length", "circular_deviation"),
        formula="direction of the sum of unit vectors; deviation sqrt(-2 ln R)",
        sources=(textbook("Mardia and Jupp, Directional Statistics, chapter 2"),),
    ),
    calculation(
        degree_wheel.centre_of_equal_lifts,
        title="Centre of a lobe from equal lifts on either side",
        chapter=CHAPTER,
        formula="opening reading + ((closing - opening) mod 360 deg)/2",
        sources=(MIDDLE,),
        cautions=("An asymmetric lobe has another centre at every lift.", BY_HAND, RELEASED),
    ),
    calculation(
        degree_wheel.intake_readings,
        title="Intake events from readings at the checking height",
        chapter=CHAPTER,
        formula="IVO = -opening, IVC = closing - 180, duration = closing - opening (deg)",
        sources=(DEFINITION, practice("duration within 2 degrees of the card")),
        cautions=(BY_HAND, RELEASED),
    ),
    calculation(
        degree_wheel.exhaust_readings,
        title="Exhaust events from readings at the checking height",
        chapter=CHAPTER,
        formula="EVO = -180 - opening, EVC = closing, duration = closing - opening (deg)",
        sources=(DEFINITION, practice("duration within 2 degrees of the card")),
        cautions=(BY_HAND, RELEASED),
        example={"opening_reading": 2.3038346126325, "closing_reading": 6.213372137099813},
    ),
    calculation(
        degree_wheel.lobe_asymmetry,
        title="Lobe asymmetry between two lifts",
        chapter=CHAPTER,
        formula="opening flank, closing flank, and half of what they differ by",
        sources=(DEFINITION,),
        cautions=(BY_HAND,),
    ),
    calculation(
        degree_fit.degree_fit,
        title="Dead centre, lobe centre and its shift from all readings, with uncertainty",
        chapter=CHAPTER,
        formula="least squares: stop = e -+ q, lift = e + c + k (h - mean h) -+ w",
        sources=(standard("JCGM 100, 5.1"),),
        cautions=(
            BY_HAND,
            RELEASED,
            "A scatter well above the reading's uncertainty: look for slack or a slip.",
        ),
    ),
    calculation(
        lobe_wear.lobe_wear,
        title="Worn lobes across the cylinders",
        chapter=CHAPTER,
        formula="lift on the card - lift of each lobe",
        sources=(DEFINITION, practice("0.004 in at the lobe at most")),
        cautions=("Lobes of one kind only: intake and exhaust apart.", BY_HAND),
    ),
    calculation(
        degree_wheel.choose_keyway,
        title="Keyway in stock that corrects the timing",
        chapter=CHAPTER,
        formula="the keyway with the least |centreline - advance - wanted|",
        sources=(DEFINITION, practice("1 degree for a quoted setting, 2 for the street")),
        cautions=("Advance of the crank sprocket's keyway in crank degrees; read the centreline once more.",),
        example={"intake_centreline": 1.9547687622336491},
    ),
    calculation(
        polynomial_lobe.polynomial_durations,
        title="Duration of a polynomial lobe above a checking height",
        chapter=CHAPTER,
        choices={"rise_law": rise_laws.POLYNOMIAL_LAWS},
        formula="4 x flank x (1 - x), lift of the law at x = checking height / lobe lift",
        sources=(POLYNOMIAL,),
        cautions=("Symmetrical, without dwell or ramps.",),
        example={"rise_law": "3-4-5"},
    ),
)
