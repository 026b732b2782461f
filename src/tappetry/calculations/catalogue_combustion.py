"""Calculations of burning: the Wiebe law, heat to the walls, knock."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.model import Source
from tappetry.calculations.sources import DEFINITION, practice, textbook
from tappetry.engineering import burn, heat_transfer, knock

CHAPTER = "Combustion"
WIEBE = textbook("Wiebe; Heywood, Internal Combustion Engine Fundamentals, eq. 9.27")
WOSCHNI = textbook(
    "Woschni, SAE 670931; Heywood, Internal Combustion Engine Fundamentals, eqs. 12.18 and 12.19"
)
HOHENBERG = textbook("Hohenberg, SAE 790825")
DOUAUD = textbook("Douaud and Eyzat, SAE 780080; Heywood, Internal Combustion Engine Fundamentals, eq. 9.61")
LIVENGOOD = textbook("Livengood and Wu, Fifth Symposium on Combustion (1955)")
RECALLED = "The constants are from memory; look them up before relying on them."
MEAN = "A mean over the whole wall; single spots take several times as much."
TREND = "For comparing; whether an engine knocks is heard and measured, not computed."

CALCULATIONS = (
    calculation(
        burn.wiebe_fraction,
        title="Burned share by the share of the duration",
        chapter=CHAPTER,
        formula="1 - exp(-a y^(m+1))",
        sources=(WIEBE,),
    ),
    calculation(
        burn.burned_fraction,
        title="Burned share at a crank angle",
        chapter=CHAPTER,
        formula="1 - exp(-a ((angle - start)/duration)^(m+1))",
        sources=(WIEBE,),
    ),
    calculation(
        burn.burn_rate,
        title="Burn rate at a crank angle",
        chapter=CHAPTER,
        formula="a (m+1)/duration y^m exp(-a y^(m+1))",
        sources=(WIEBE,),
    ),
    calculation(
        burn.burn_angle,
        title="Crank angle of a burned share",
        chapter=CHAPTER,
        formula="start + duration (-ln(1-x)/a)^(1/(m+1))",
        sources=(WIEBE,),
    ),
    calculation(
        burn.burn_angles,
        title="Crank angles of 10, 50 and 90 % burned",
        chapter=CHAPTER,
        formula="start + duration (-ln(1-x)/a)^(1/(m+1))",
        sources=(WIEBE,),
    ),
    calculation(
        burn.wiebe_peak,
        title="Fastest point of the Wiebe law",
        chapter=CHAPTER,
        formula="y = (m/(a(m+1)))^(1/(m+1)); rate = a (m+1) y^m exp(-a y^(m+1))",
        sources=(WIEBE,),
    ),
    calculation(
        burn.wiebe_a,
        title="Wiebe's a for a burned share at the end",
        chapter=CHAPTER,
        formula="-ln(1 - share)",
        sources=(WIEBE,),
    ),
    calculation(
        burn.wiebe_law,
        title="Wiebe law through three angles",
        chapter=CHAPTER,
        formula="m from (t90 - t10)/(t50 - t10); duration and start from two of them",
        sources=(WIEBE,),
    ),
    calculation(
        heat_transfer.woschni_velocities,
        title="Woschni's gas velocity",
        chapter=CHAPTER,
        formula="6.18 s + 0.417 v; 2.28 s + 0.308 v; + 0.00324 Vd Tr/(pr Vr) (p - pm)",
        sources=(WOSCHNI,),
        cautions=(RECALLED,),
    ),
    calculation(
        heat_transfer.woschni_coefficient,
        title="Woschni's heat transfer coefficient",
        chapter=CHAPTER,
        outputs=("heat_transfer_coefficient",),
        formula="3.26 B^-0.2 p^0.8 T^-0.55 w^0.8, p in kPa",
        sources=(WOSCHNI,),
        cautions=(
            RECALLED,
            "Other printings have T^-0.53 with the same constant, which is 16 % more at 2000 K.",
            MEAN,
        ),
        example={"gas_temperature": 2000.0},
    ),
    calculation(
        heat_transfer.woschni_coefficient_in_bar,
        title="Woschni's heat transfer coefficient, the other printing",
        chapter=CHAPTER,
        outputs=("heat_transfer_coefficient",),
        formula="130 B^-0.2 p^0.8 T^-0.53 w^0.8, p in bar",
        sources=(WOSCHNI,),
        cautions=(RECALLED, "16 % above the printing with T^-0.55 at 2000 K; say which one was taken.", MEAN),
        example={"gas_temperature": 2000.0},
    ),
    calculation(
        heat_transfer.heat_transfer_ratio,
        title="Change of Woschni's coefficient",
        chapter=CHAPTER,
        formula="bore^-0.2 pressure^0.8 temperature^-0.55 velocity^0.8",
        sources=(WOSCHNI,),
        cautions=(RECALLED,),
    ),
    calculation(
        heat_transfer.hohenberg_coefficient,
        title="Hohenberg's heat transfer coefficient",
        chapter=CHAPTER,
        outputs=("heat_transfer_coefficient",),
        formula="130 V^-0.06 p^0.8 T^-0.4 (s + 1.4)^0.8, p in bar",
        sources=(HOHENBERG,),
        cautions=(RECALLED, MEAN),
        example={"gas_temperature": 2000.0},
    ),
    calculation(
        heat_transfer.motored_pressure,
        title="Motored pressure",
        chapter=CHAPTER,
        formula="pr (Vr / V)^n",
        sources=(Source("polytropic compression", "textbook"), practice("n from 1.30 to 1.35")),
        example={"polytropic_exponent": 1.32},
    ),
    calculation(
        heat_transfer.wall_heat_flux,
        title="Heat flux to a wall",
        chapter=CHAPTER,
        formula="h (T - Tw)",
        sources=(DEFINITION,),
        example={"gas_temperature": 2000.0},
    ),
    calculation(
        knock.knock_delay,
        title="Knock delay",
        chapter=CHAPTER,
        formula="17.68 ms (ON/100)^3.402 p^-1.7 exp(3800/T), p in atm",
        sources=(DOUAUD,),
        cautions=(RECALLED, TREND),
    ),
    calculation(
        knock.knock_integral,
        title="Knock integral over steady steps",
        chapter=CHAPTER,
        formula="sum of duration / delay; knock where it reaches 1",
        sources=(LIVENGOOD, DOUAUD),
        cautions=(RECALLED, TREND),
    ),
    calculation(
        knock.knock_angle,
        title="Knock integral along a trace",
        chapter=CHAPTER,
        formula="integral of d(angle) / (speed x delay); knock where it reaches 1",
        sources=(LIVENGOOD, DOUAUD),
        cautions=(RECALLED, TREND),
    ),
    calculation(
        knock.end_gas_temperature,
        title="End gas temperature",
        chapter=CHAPTER,
        formula="T1 (p/p1)^((gamma-1)/gamma)",
        sources=(Source("isentrope of a perfect gas", "textbook"),),
        example={"heat_capacity_ratio": 1.31},
    ),
    calculation(
        knock.antiknock_index,
        title="Antiknock index of the pump",
        chapter=CHAPTER,
        formula="(RON + MON) / 2",
        sources=(DEFINITION,),
    ),
    calculation(
        knock.octane_index,
        title="Octane index of an engine",
        chapter=CHAPTER,
        formula="RON - K (RON - MON)",
        sources=(textbook("Kalghatgi, SAE 2001-01-3584"),),
    ),
)
