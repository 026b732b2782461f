"""Calculations of mean pressures, friction, torque and power, and their correction to standard air."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.sources import DEFINITION, standard, textbook
from tappetry.engineering import mean_pressure, power_correction

CHAPTER = "Power"
HEYWOOD = textbook("Heywood, Internal Combustion Engine Fundamentals, chapters 2 and 13")
CHEN_FLYNN = textbook("Chen and Flynn, SAE 650733")
BARNES_MOSS = textbook("Barnes-Moss, in Heywood, Internal Combustion Engine Fundamentals, eq. 13.6")
J1349 = standard("SAE J1349 (1990)")
J607 = standard("SAE J607")
ISO_1585 = standard("ISO 1585")
DIN_70020 = standard("DIN 70020-6")
RECALLED = "The constants are from memory; look them up before relying on them."
DRY = "By the dry pressure, and by the barometer at this place, not reduced to sea level."
NAME_IT = "Name the standard beside every corrected number; they differ by 4 % and more."

CALCULATIONS = (
    calculation(
        mean_pressure.engine_power,
        title="Power from torque and speed",
        chapter=CHAPTER,
        formula="torque x speed",
        sources=(DEFINITION,),
    ),
    calculation(
        mean_pressure.engine_torque,
        title="Torque from power and speed",
        chapter=CHAPTER,
        formula="power / speed",
        sources=(DEFINITION,),
    ),
    calculation(
        mean_pressure.brake_mean_pressure,
        title="Brake mean effective pressure from torque",
        chapter=CHAPTER,
        formula="pi x strokes x torque / displacement",
        sources=(HEYWOOD,),
    ),
    calculation(
        mean_pressure.mean_pressure_from_power,
        title="Brake mean effective pressure from power",
        chapter=CHAPTER,
        outputs=("brake_mean_pressure",),
        formula="pi x strokes x power / (displacement x speed)",
        sources=(HEYWOOD,),
    ),
    calculation(
        mean_pressure.torque_from_mean_pressure,
        title="Torque from brake mean effective pressure",
        chapter=CHAPTER,
        outputs=("engine_torque",),
        formula="mean pressure x displacement / (pi x strokes)",
        sources=(HEYWOOD,),
    ),
    calculation(
        mean_pressure.indicated_pressure,
        title="Indicated mean pressure and mechanical efficiency",
        chapter=CHAPTER,
        formula="brake + friction; brake / indicated",
        sources=(HEYWOOD,),
    ),
    calculation(
        mean_pressure.friction_mean_pressure,
        title="Friction mean pressure, Chen and Flynn's form",
        chapter=CHAPTER,
        formula="A + B x peak pressure + C x piston speed + D x piston speed^2",
        sources=(CHEN_FLYNN,),
        cautions=("The constants are those of one engine; published sets differ.",),
    ),
    calculation(
        mean_pressure.total_friction_mean_pressure,
        title="Friction, pumping and auxiliaries, Barnes-Moss",
        chapter=CHAPTER,
        formula="0.97 + 0.15 N/1000 + 0.05 (N/1000)^2, in bar, N in rpm",
        sources=(BARNES_MOSS,),
        cautions=(RECALLED, "From engines of the 1970s: a modern one has less."),
    ),
    calculation(
        power_correction.sae_j1349_factor,
        title="Power correction, SAE J1349",
        chapter=CHAPTER,
        formula="1.18 (990/pd) sqrt((t + 273)/298) - 0.18, mbar and degC",
        sources=(J1349,),
        cautions=(DRY, NAME_IT),
    ),
    calculation(
        power_correction.sae_j607_factor,
        title="Power correction, SAE J607 style",
        chapter=CHAPTER,
        formula="(29.92/pd) sqrt((t + 460)/520), inHg and degF",
        sources=(J607,),
        cautions=(RECALLED, DRY, NAME_IT),
    ),
    calculation(
        power_correction.iso_1585,
        title="Power correction, ISO 1585, spark ignition",
        chapter=CHAPTER,
        formula="(99/pd)^1.2 (T/298)^0.6, kPa and K",
        sources=(ISO_1585,),
        cautions=(RECALLED, DRY, "Valid from 0.93 to 1.07; beyond, repeat the test in other air.", NAME_IT),
    ),
    calculation(
        power_correction.din_70020_factor,
        title="Power correction, DIN 70020",
        chapter=CHAPTER,
        formula="(1013.25/p) sqrt(T/293), mbar and K",
        sources=(DIN_70020,),
        cautions=(RECALLED, "By the whole pressure, vapour included.", NAME_IT),
    ),
    calculation(
        power_correction.correction_for_efficiency,
        title="Power correction for another mechanical efficiency",
        chapter=CHAPTER,
        outputs=("correction_factor",),
        formula="(99/pd sqrt((t + 273)/298) - 1)/efficiency + 1, kPa and degC",
        sources=(J1349,),
        cautions=(DRY, NAME_IT),
    ),
    calculation(
        power_correction.power_corrections,
        title="All power corrections of a day",
        chapter=CHAPTER,
        formula="dry pressure from barometer and humidity, then each standard's factor",
        sources=(J1349, J607, ISO_1585, DIN_70020),
        cautions=(RECALLED, DRY, NAME_IT),
    ),
    calculation(
        power_correction.corrected_power,
        title="Corrected power",
        chapter=CHAPTER,
        formula="factor x measured power",
        sources=(DEFINITION,),
        cautions=(NAME_IT,),
    ),
)
