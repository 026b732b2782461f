"""Calculations of air-standard cycles, with constant and with variable specific heats."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.model import Source
from tappetry.calculations.sources import textbook
from tappetry.engineering import air_cycles, dual_cycles, hot_air_cycles

CHAPTER = "Air cycles"
CENGEL = textbook("Cengel and Boles, Thermodynamics, chapter 9")
MORAN = textbook("Moran and Shapiro, Fundamentals of Engineering Thermodynamics, example 9.1")
HEYWOOD = textbook("Heywood, Internal Combustion Engine Fundamentals, chapter 5")
NASA = Source("McBride, Gordon and Reno, NASA TM-4513 (1993)", "textbook")
AIR_ONLY = "A cycle of pure air without losses: good for comparing, far above a real engine."

CALCULATIONS = (
    calculation(
        air_cycles.otto_efficiency,
        title="Efficiency of the Otto cycle",
        chapter=CHAPTER,
        outputs=("thermal_efficiency",),
        formula="1 - ratio^(1 - gamma)",
        sources=(CENGEL,),
        cautions=(AIR_ONLY,),
    ),
    calculation(
        air_cycles.diesel_efficiency,
        title="Efficiency of the Diesel cycle",
        chapter=CHAPTER,
        outputs=("thermal_efficiency",),
        formula="1 - ratio^(1 - gamma) (cutoff^gamma - 1)/(gamma (cutoff - 1))",
        sources=(CENGEL,),
        cautions=(AIR_ONLY,),
    ),
    calculation(
        air_cycles.dual_efficiency,
        title="Efficiency of the dual cycle",
        chapter=CHAPTER,
        outputs=("thermal_efficiency",),
        formula="1 - ratio^(1 - gamma) (a c^gamma - 1)/(a - 1 + gamma a (c - 1))",
        sources=(HEYWOOD,),
        cautions=(AIR_ONLY,),
    ),
    calculation(
        dual_cycles.dual_cycle,
        title="Dual and Diesel cycle, constant specific heats, from their ratios",
        chapter=CHAPTER,
        formula="T2 = T1 r^(gamma-1); Tx = a T2; T3 = c Tx; T4 = T3 (c/r)^(gamma-1); mep = w/(v1 (1 - 1/r))",
        sources=(CENGEL,),
        cautions=(AIR_ONLY, "A rise of 1 is the Diesel cycle, a cutoff of 1 the Otto cycle."),
    ),
    calculation(
        air_cycles.overexpanded_efficiency,
        title="Efficiency of a cycle with a longer expansion",
        chapter=CHAPTER,
        outputs=("thermal_efficiency",),
        formula="1 - (T4 - T5 + gamma (T5 - T1))/(T3 - T2)",
        sources=(HEYWOOD,),
        cautions=(AIR_ONLY,),
        example={"compression_ratio": 8.0, "pressure_rise_ratio": 4.0},
    ),
    calculation(
        air_cycles.otto_temperatures,
        title="Temperatures of the Otto cycle",
        chapter=CHAPTER,
        formula="T2 = T1 ratio^(gamma - 1); T4 = T3 ratio^(1 - gamma)",
        sources=(CENGEL,),
        cautions=(AIR_ONLY,),
    ),
    calculation(
        air_cycles.otto_cycle,
        title="Otto cycle, constant specific heats, from the heat",
        chapter=CHAPTER,
        formula="T2 = T1 r^(gamma-1); T3 = T2 + q/cv; T4 = T3 r^(1-gamma); mep = w/(v1 (1 - 1/r))",
        sources=(CENGEL,),
        cautions=(AIR_ONLY,),
    ),
    calculation(
        air_cycles.otto_cycle_to_peak,
        title="Otto cycle, constant specific heats, to a peak temperature",
        chapter=CHAPTER,
        formula="T2 = T1 r^(gamma-1); q = cv (T3 - T2); T4 = T3 r^(1-gamma); mep = w/(v1 (1 - 1/r))",
        sources=(CENGEL,),
        cautions=(AIR_ONLY,),
    ),
    calculation(
        hot_air_cycles.hot_air_otto_cycle,
        title="Otto cycle, variable specific heats, from the heat",
        chapter=CHAPTER,
        formula="isentropes by the entropy of air; u(T3) = u(T2) + q; w = q - u(T4) + u(T1)",
        sources=(CENGEL, NASA),
        cautions=(AIR_ONLY,),
    ),
    calculation(
        hot_air_cycles.hot_air_otto_cycle_to_peak,
        title="Otto cycle, variable specific heats, to a peak temperature",
        chapter=CHAPTER,
        formula="isentropes by the entropy of air; q = u(T3) - u(T2); w = q - u(T4) + u(T1)",
        sources=(MORAN, NASA),
        cautions=(AIR_ONLY,),
    ),
)
