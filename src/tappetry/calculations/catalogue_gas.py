"""Calculations of air, moist air, the standard atmosphere, other gases, burned gas and flames."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.model import Source
from tappetry.calculations.sources import DEFINITION, IDEAL_GAS, standard, textbook
from tappetry.engineering import atmosphere, burned_gas, flames, gas_properties, humid_air
from tappetry.engineering.charge import FUELS
from tappetry.engineering.gas_properties import GASES

CHAPTER = "Gas"
NASA = Source("McBride, Gordon and Reno, NASA TM-4513 (1993)", "textbook")
ATMOSPHERE = standard("US Standard Atmosphere 1976")
IAPWS = standard("IAPWS R7-97 and IAPWS R14-08")
HEYWOOD = textbook("Heywood, Internal Combustion Engine Fundamentals, section 4.6")
FUEL = {"fuel": FUELS}
IDEAL = "Ideal gas: below some 20 bar or above room temperature it is good to a fraction of a per cent."
BAROMETER = "The barometer at this place, not reduced to sea level as the weather report has it."
FLAME = "Without heat loss: no engine gets this hot."

CALCULATIONS = (
    calculation(
        gas_properties.gas_constants,
        title="Molar mass and gas constant",
        chapter=CHAPTER,
        formula="R = 8.314463 J/mol.K / molar mass",
        sources=(standard("CODATA 2018"), ATMOSPHERE),
        choices={"gas": GASES},
        example={"gas": "dry air"},
    ),
    calculation(
        gas_properties.gas_density,
        title="Density of an ideal gas",
        chapter=CHAPTER,
        formula="p / (R T)",
        sources=(IDEAL_GAS,),
        cautions=(IDEAL,),
    ),
    calculation(
        gas_properties.gas_properties,
        title="Heat capacities, gamma and speed of sound of a gas",
        chapter=CHAPTER,
        formula="cp/R = a1 + a2 T + a3 T^2 + a4 T^3 + a5 T^4; gamma = cp/(cp - R); a = sqrt(gamma R T)",
        sources=(NASA,),
        cautions=(IDEAL,),
        choices={"gas": GASES},
        example={"gas": "dry air"},
    ),
    calculation(
        gas_properties.air_transport,
        title="Viscosity and conductivity of air",
        chapter=CHAPTER,
        formula="kinetic theory with a fitted collision integral, to 2000 K",
        sources=(
            Source("Lemmon and Jacobsen, Int. J. Thermophysics 25 (2004), agreed by a library", "textbook"),
        ),
    ),
    calculation(
        humid_air.saturation_pressure,
        title="Vapour pressure of water or ice",
        chapter=CHAPTER,
        formula="region 4 of the industrial formulation; ice below 273.16 K",
        sources=(IAPWS,),
    ),
    calculation(
        humid_air.humid_air,
        title="Moist air",
        chapter=CHAPTER,
        formula="vapour = RH x saturation; dry = barometer - vapour; density = dry/(Rd T) + vapour/(Rv T)",
        sources=(IDEAL_GAS, IAPWS),
        cautions=(BAROMETER,),
    ),
    calculation(
        humid_air.dew_point,
        title="Dew point",
        chapter=CHAPTER,
        formula="temperature whose saturation pressure is the vapour pressure",
        sources=(IAPWS,),
    ),
    calculation(
        humid_air.relative_humidity,
        title="Relative humidity from vapour pressure",
        chapter=CHAPTER,
        formula="vapour / saturation at the air's temperature",
        sources=(DEFINITION, IAPWS),
    ),
    calculation(
        humid_air.vapour_pressure_from_wet_bulb,
        title="Vapour pressure from wet and dry bulb",
        chapter=CHAPTER,
        outputs=("vapour_pressure",),
        formula="saturation at wet bulb - 0.000653 (1 + 0.000944 tw) p (T - Tw)",
        sources=(standard("World Meteorological Organization, WMO-No. 8, annex 4.B"),),
        cautions=("For a ventilated sock that is not frozen.", BAROMETER),
    ),
    calculation(
        atmosphere.standard_atmosphere,
        title="Standard atmosphere",
        chapter=CHAPTER,
        formula="T = Tb + L (H - Hb); p = pb (T/Tb)^(-g/(R L)), or pb exp(-g (H - Hb)/(R T))",
        sources=(ATMOSPHERE,),
        cautions=("The air of a day is another; measure it.",),
    ),
    calculation(
        atmosphere.altitude,
        title="Geopotential altitude",
        chapter=CHAPTER,
        formula="r Z / (r + Z), r = 6356766 m",
        sources=(ATMOSPHERE,),
    ),
    calculation(
        atmosphere.pressure_altitude,
        title="Pressure altitude",
        chapter=CHAPTER,
        formula="altitude at which the standard atmosphere has this pressure",
        sources=(ATMOSPHERE,),
        cautions=(BAROMETER,),
    ),
    calculation(
        atmosphere.density_altitude,
        title="Density altitude",
        chapter=CHAPTER,
        formula="altitude at which the standard atmosphere has this density",
        sources=(ATMOSPHERE,),
    ),
    calculation(
        burned_gas.burned_gas,
        title="Burned gas, composition kept",
        chapter=CHAPTER,
        formula="CO2, H2O, N2 and spare O2 of a complete burn; rich, CO and H2 by the water-gas reaction",
        sources=(NASA, HEYWOOD),
        cautions=("Above 1,800 K burned gas dissociates, and takes up more heat than this.",),
        choices=FUEL,
        example={"fuel": "C8H18", "gas_temperature": 1500.0},
    ),
    calculation(
        burned_gas.unburned_mixture,
        title="Fresh mixture with residual gas",
        chapter=CHAPTER,
        formula="fuel vapour and air, with burned gas by its mass fraction",
        sources=(NASA,),
        choices=FUEL,
        example={"fuel": "C8H18", "gas_temperature": 700.0},
    ),
    calculation(
        flames.equilibrium_products,
        title="Burned gas in equilibrium",
        chapter=CHAPTER,
        formula="least Gibbs energy of CO2, H2O, N2, O2, CO, H2, OH, O, H, NO, N",
        sources=(NASA, textbook("Gordon and McBride, NASA Reference Publication 1311, chapter 2")),
        cautions=("Nitric oxide of the exhaust is not in equilibrium.",),
        choices=FUEL,
        example={"fuel": "C8H18", "gas_pressure": 30e5},
    ),
    calculation(
        flames.constant_pressure_flame,
        title="Adiabatic flame at constant pressure",
        chapter=CHAPTER,
        formula="enthalpy kept, products in equilibrium",
        sources=(NASA, textbook("Turns, An Introduction to Combustion, table B.1")),
        cautions=(FLAME,),
        choices=FUEL,
        example={"fuel": "CH4"},
    ),
    calculation(
        flames.constant_volume_flame,
        title="Adiabatic flame at constant volume",
        chapter=CHAPTER,
        formula="internal energy kept, products in equilibrium",
        sources=(NASA,),
        cautions=(FLAME,),
        choices=FUEL,
        example={"fuel": "C8H18"},
    ),
)
