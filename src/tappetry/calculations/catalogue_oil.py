"""Calculations of oil: viscosity and grades, the pump and its relief, leaks, pan and pickup."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.model import Source
from tappetry.calculations.sources import BERNOULLI, CONTINUITY, DEFINITION, practice, standard, textbook
from tappetry.engineering import oil_grades, oil_leaks, oil_passages, oil_pump, oil_supply, oil_viscosity

CHAPTER = "Oil"
LINE = standard("ASTM D341, without the terms for thin liquids")
INDEX = standard("ASTM D2270")
GRADES = standard("SAE J300 (2015), from secondary transcriptions", from_memory=False)
BEARING = textbook("Shigley's Mechanical Engineering Design, chapter 12")
LAMINAR = Source("laminar flow through a thin gap", "textbook")
PIPE = textbook("Hagen-Poiseuille and Blasius")
RUNNING = "A running engine: hands clear of belts and fan; hot oil under pressure burns the skin."
SHEAR = "Multigrade oil is thinner in a bearing than in a viscometer."
HALF = "Clearance and flow go by its third power: half the difference of the diameters, measured."
WINTER = (oil_grades.ALONE, *oil_grades.WINTER_GRADES)

CALCULATIONS = (
    calculation(
        oil_viscosity.kinematic_viscosity,
        title="Viscosity of oil at a temperature",
        chapter=CHAPTER,
        formula="log log(v + 0.7) = A - B log T through two known points, mm2/s and K",
        sources=(LINE,),
        cautions=("Not below the cloud point; a cold oil thickens more.", SHEAR),
    ),
    calculation(
        oil_viscosity.temperature_at_viscosity,
        title="Temperature at which oil has a viscosity",
        chapter=CHAPTER,
        outputs=("oil_temperature",),
        formula="T = 10^((A - log log(v + 0.7)) / B)",
        sources=(LINE,),
    ),
    calculation(
        oil_viscosity.walther_line,
        title="Viscosity-temperature line of an oil",
        chapter=CHAPTER,
        formula="B = (Z1 - Z2) / (log T2 - log T1), A = Z1 + B log T1, Z = log log(v + 0.7)",
        sources=(LINE,),
    ),
    calculation(
        oil_viscosity.viscosity_index,
        title="Viscosity index",
        chapter=CHAPTER,
        formula="procedure A up to 100, procedure B above, L and H by equations",
        sources=(INDEX,),
        cautions=("The standard rounds it to a whole number.",),
    ),
    calculation(
        oil_viscosity.index_references,
        title="L and H of the viscosity index",
        chapter=CHAPTER,
        formula="L = a Y^2 + b Y + c, H = d Y^2 + e Y + f, by ranges of Y",
        sources=(INDEX,),
    ),
    calculation(
        oil_viscosity.index_below_100,
        title="Viscosity index by procedure A",
        chapter=CHAPTER,
        outputs=("viscosity_index",),
        formula="100 (L - U) / (L - H)",
        sources=(INDEX,),
        example={"viscosity_at_40": 110e-6},
    ),
    calculation(
        oil_viscosity.index_above_100,
        title="Viscosity index by procedure B",
        chapter=CHAPTER,
        outputs=("viscosity_index",),
        formula="100 + (10^N - 1) / 0.00715, N = (log H - log U) / log Y",
        sources=(INDEX,),
    ),
    calculation(
        oil_viscosity.oil_density,
        title="Density of oil at a temperature",
        chapter=CHAPTER,
        formula="density / (1 + expansion x (T - reference T))",
        sources=(DEFINITION, practice("0.0007 per kelvin for mineral oils")),
    ),
    calculation(
        oil_viscosity.oil_viscosity,
        title="Dynamic viscosity of oil",
        chapter=CHAPTER,
        formula="kinematic viscosity x density",
        sources=(DEFINITION,),
        cautions=(SHEAR,),
    ),
    calculation(
        oil_grades.hot_limits,
        title="Limits of a viscosity grade, hot",
        chapter=CHAPTER,
        choices={"viscosity_grade": oil_grades.VISCOSITY_GRADES, "winter_grade": WINTER},
        formula="table",
        sources=(GRADES,),
        cautions=("The engine maker's grade comes first.",),
        example={"viscosity_grade": "30"},
    ),
    calculation(
        oil_grades.cold_limits,
        title="Limits of a viscosity grade, cold",
        chapter=CHAPTER,
        choices={"winter_grade": oil_grades.WINTER_GRADES},
        formula="table",
        sources=(GRADES,),
        example={"winter_grade": "5W"},
    ),
    calculation(
        oil_pump.gear_pump_displacement,
        title="Displacement of a gear pump",
        chapter=CHAPTER,
        outputs=("pump_displacement",),
        formula="pi/4 (outside^2 - inside^2) x width, one turn",
        sources=(textbook("Esposito, Fluid Power with Applications, chapter 5"),),
    ),
    calculation(
        oil_pump.gerotor_displacement,
        title="Displacement of a rotor pump",
        chapter=CHAPTER,
        outputs=("pump_displacement",),
        formula="teeth x (largest - smallest chamber) x width, one turn",
        sources=(Source("geometry", "textbook"),),
    ),
    calculation(
        oil_pump.pump_delivery,
        title="Flow of a pump at a speed",
        chapter=CHAPTER,
        formula="efficiency x displacement x turns",
        sources=(DEFINITION,),
        cautions=("The pump's own speed: that of the crank, or half of it with a distributor drive.",),
    ),
    calculation(
        oil_pump.pump_efficiency,
        title="Efficiency of a pump from its flow",
        chapter=CHAPTER,
        formula="flow / (displacement x turns)",
        sources=(DEFINITION,),
    ),
    calculation(
        oil_pump.pump_power,
        title="Power of a pump",
        chapter=CHAPTER,
        formula="flow x pressure / efficiency",
        sources=(DEFINITION,),
        cautions=("A volume that nothing needs only heats the oil and loads the drive.",),
    ),
    calculation(
        oil_pump.relief_pressure,
        title="Opening pressure of a relief valve",
        chapter=CHAPTER,
        formula="spring load / (pi/4 x diameter^2)",
        sources=(Source("balance of forces", "textbook"),),
        cautions=("The plunger has to move freely; too stiff a spring bursts the filter on a cold start.",),
    ),
    calculation(
        oil_pump.gallery_pressure,
        title="Oil pressure from pump, leaks and relief valve",
        chapter=CHAPTER,
        formula="pump flow = G p + Cd A sqrt(2 p / density), p at most the relief pressure",
        sources=(CONTINUITY, practice("10 psi per 1,000 rpm hot; 15 to 20 psi at hot idle")),
        cautions=("An estimate: a mechanical gauge on the hot engine has the last word.", RUNNING),
        example={"discharge_coefficient": 0.62},
    ),
    calculation(
        oil_leaks.hole_flow,
        title="Flow of oil through a hole",
        chapter=CHAPTER,
        formula="Cd x pi/4 d^2 x sqrt(2 dp / density)",
        sources=(BERNOULLI,),
        example={"discharge_coefficient": 0.62, "pressure_drop": 300e3},
    ),
    calculation(
        oil_leaks.side_flow,
        title="Oil flow out of a bearing",
        chapter=CHAPTER,
        formula="pi p r c^3 (1 + 1.5 e^2) / (3 viscosity x half length), both ends",
        sources=(BEARING,),
        cautions=(HALF, SHEAR),
    ),
    calculation(
        oil_leaks.gap_flow,
        title="Oil flow past a lifter",
        chapter=CHAPTER,
        formula="pi d c^3 dp (1 + 1.5 e^2) / (12 viscosity x length)",
        sources=(LAMINAR,),
        cautions=(HALF,),
        example={"pressure_drop": 300e3},
    ),
    calculation(
        oil_leaks.leak_conductance,
        title="Conductance of a gap",
        chapter=CHAPTER,
        formula="flow / pressure; gaps side by side add up",
        sources=(DEFINITION,),
        example={"pressure_drop": 300e3},
    ),
    calculation(
        oil_leaks.bearing_numbers,
        title="Bearing pressure, Sommerfeld number and friction",
        chapter=CHAPTER,
        formula="P = W/(2 r l), S = (r/c)^2 viscosity x N / P, f = 2 pi^2 viscosity x N / P x r/c, T = f W r",
        sources=(BEARING,),
        cautions=("Turns a second, and the radial clearance.",),
    ),
    calculation(
        oil_passages.passage_flow,
        title="Pressure that a drilled passage or a pipe takes",
        chapter=CHAPTER,
        formula="f l/d rho v^2/2; f the larger of 64/Re and 0.3164/Re^0.25",
        sources=(PIPE,),
        cautions=("Without bends and mouths.",),
    ),
    calculation(
        oil_passages.slot_flow,
        title="Flow through a flat gap",
        chapter=CHAPTER,
        formula="w h^3 dp / (12 viscosity l)",
        sources=(LAMINAR,),
    ),
    calculation(
        oil_supply.pan_drain_down,
        title="Time until a pan runs dry at a speed",
        chapter=CHAPTER,
        formula="usable oil / (engine flow - return flow)",
        sources=(Source("conservation of oil", "textbook"),),
        cautions=("Cornering and braking uncover the pickup earlier.",),
    ),
    calculation(
        oil_supply.pickup_state,
        title="Pressure at the pump's inlet",
        chapter=CHAPTER,
        formula="ambient - density g h - (1 + K + f l/d) density v^2 / 2",
        sources=(PIPE,),
        cautions=("A leak on the suction side shows no oil outside: the ring first.",),
    ),
    calculation(
        oil_supply.gap_velocity,
        title="Velocity under the pickup's rim",
        chapter=CHAPTER,
        formula="flow / (pi x diameter x clearance)",
        sources=(CONTINUITY, practice("6 to 10 mm between pickup and pan")),
    ),
)
