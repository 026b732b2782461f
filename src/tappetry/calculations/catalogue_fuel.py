"""Calculations of fuel: stoichiometry, mixtures, blends, injectors."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.model import Source
from tappetry.calculations.sources import BERNOULLI, DEFINITION, practice, textbook
from tappetry.engineering import fuel, injectors

CHAPTER = "Fuel"
ATOMS = textbook("Heywood, Internal Combustion Engine Fundamentals, chapter 3")
HEYWOOD = textbook("Heywood, Internal Combustion Engine Fundamentals, chapter 2")
MASS = Source("conservation of mass", "textbook")
ACROSS = "Pressure across the injector: rail less manifold; boost takes it away."
FIRE = "Fuel burns: no pressure in the rail, no spark, no heat and fresh air before a line is opened."

CALCULATIONS = (
    calculation(
        fuel.stoichiometric_ratio_of_formula,
        title="Stoichiometric ratio by the fuel's formula",
        chapter=CHAPTER,
        texts={"fuel_formula": "of carbon, hydrogen and oxygen, as C8H18, C2H5OH or CH1.87"},
        outputs=("stoichiometric_ratio",),
        formula="(x + y/4 - z/2) x air for a mole of oxygen / mass of the formula",
        sources=(ATOMS,),
        example={"fuel_formula": "CH1.87"},
    ),
    calculation(
        fuel.stoichiometric_ratio,
        title="Stoichiometric ratio by the fuel's atoms",
        chapter=CHAPTER,
        formula="(x + y/4 - z/2) x air for a mole of oxygen / mass of the formula",
        sources=(ATOMS,),
    ),
    calculation(
        fuel.stoichiometric_ratio_of_shares,
        title="Stoichiometric ratio by the fuel's analysis by mass",
        chapter=CHAPTER,
        outputs=("stoichiometric_ratio",),
        formula="atoms from shares over atomic masses, then as for a formula",
        sources=(ATOMS,),
    ),
    calculation(
        fuel.mixture,
        title="Lambda and phi of a mixture",
        chapter=CHAPTER,
        formula="lambda = ratio / stoichiometric ratio, phi = 1 / lambda",
        sources=(DEFINITION,),
    ),
    calculation(
        fuel.ratio_for_lambda,
        title="Air-fuel ratio for a lambda",
        chapter=CHAPTER,
        outputs=("air_fuel_ratio",),
        formula="lambda x stoichiometric ratio",
        sources=(DEFINITION,),
        cautions=("The ratio of the fuel that is burned; a gauge counts in that of gasoline.",),
    ),
    calculation(
        fuel.fuel_blend,
        title="Blend of two fuels",
        chapter=CHAPTER,
        formula="density by volume; ratio and heat by mass",
        sources=(MASS,),
        cautions=("What the pump calls E85 holds 51 to 83 % of ethanol with the season: measure it.", FIRE),
    ),
    calculation(
        fuel.engine_flows,
        title="Air and fuel that an engine takes",
        chapter=CHAPTER,
        formula="filling x displacement x turns / 2; x density; / air-fuel ratio",
        sources=(HEYWOOD,),
        cautions=("Four-stroke: one filling in two turns.",),
    ),
    calculation(
        fuel.measured_filling,
        title="Volumetric efficiency from the air that an engine takes",
        chapter=CHAPTER,
        outputs=("volumetric_efficiency",),
        formula="2 x air flow / (density x displacement x turns)",
        sources=(HEYWOOD,),
        cautions=("A four-stroke engine; say which density: before the throttle or in the manifold.",),
    ),
    calculation(
        injectors.injector_size,
        title="Injector size for a power",
        chapter=CHAPTER,
        formula="power x consumption / (injectors x duty)",
        sources=(MASS, practice("80 to 85 % of the time; 0.45 to 0.55 lb/hp.h on gasoline")),
        cautions=(ACROSS, FIRE, "More with boost, and half as much again with ethanol."),
    ),
    calculation(
        injectors.injector_duty,
        title="Duty of the injectors for a fuel flow",
        chapter=CHAPTER,
        formula="fuel flow / (injectors x flow of one)",
        sources=(MASS,),
        cautions=(ACROSS, FIRE),
    ),
    calculation(
        injectors.duty_of_pulse,
        title="Duty of a pulse at a speed",
        chapter=CHAPTER,
        outputs=("injector_duty",),
        formula="pulse x turns / 2",
        sources=(DEFINITION,),
        cautions=("For one pulse in two turns.",),
    ),
    calculation(
        injectors.pulse_for_fuel,
        title="Pulse for a mass of fuel",
        chapter=CHAPTER,
        outputs=("pulse_width",),
        formula="mass / flow + dead time",
        sources=(MASS,),
    ),
    calculation(
        injectors.flow_at_pressure,
        title="Injector flow at another pressure",
        chapter=CHAPTER,
        formula="flow x sqrt(pressure / rated pressure)",
        sources=(BERNOULLI,),
        cautions=(ACROSS, FIRE),
    ),
    calculation(
        injectors.specific_consumption,
        title="Specific fuel consumption",
        chapter=CHAPTER,
        formula="fuel flow / power",
        sources=(HEYWOOD,),
    ),
    calculation(
        injectors.brake_efficiency,
        title="Brake efficiency from specific consumption",
        chapter=CHAPTER,
        formula="1 / (consumption x heating value)",
        sources=(HEYWOOD,),
    ),
)
