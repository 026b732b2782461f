"""How unevenly an engine burns from cycle to cycle, by the burned gas in its charge and how hot it is.

A flame begins at the spark among the vortices of the charge. Until it has burned across one of them, its luck
decides where it stands and how soon the rest burns. The slower the flame, the longer that takes, and the
further cycles differ in phase; work falls with the square of what they are beside the best phase.

1. Laminar burning velocity of petrol and air without burned gas: Rhodes and Keck (SAE 850047), after
   Metghalchi and Keck (1982).
2. What burned gas takes from it: by the thermal theory of flames, exp(-A (1/T_b - 1/T_b0)), with T_b the
   temperature of the flame with the charge as it is and T_b0 without burned gas. A = 16 000 K gives again
   what Rhodes and Keck measured up to 30 % of burned gas, 1 - 2.06 x^0.77, within six hundredths of the flame
   without it; beyond, that formula ends, and the theory goes on.
3. Time to burn across a vortex: Taylor's microscale over that velocity (Tabaczynski; Hires, Tabaczynski and
   Novak, SAE 780232), with the height of the chamber as the integral scale and half the mean piston speed as
   the turbulence (Heywood, chapter 8).
4. The spark stands anywhere between two vortices, so that the delay is spread evenly from none to that time:
   its deviation is a 1/sqrt(12) of it (after Hill and Kapil, Combustion and Flame 1989).
5. Work is less by 4 parts in 10 000 for the square of each degree beside the best phase (Heywood, chapter 15:
   1 % at 5 degrees); of a normal spread of phases the deviation of work is sqrt(2) as many parts of its
   variance.

All of these are from memory. Air and mixture that differ from cycle to cycle are not in it: an engine that
burns evenly here still has the one or two per cent that every engine has.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tappetry.engineering.crank import mean_piston_speed, piston_fall
from tappetry.engineering.gas_properties import air_transport
from tappetry.engineering.ranges import OutOfRange, Range, require_between
from tappetry.simulation.cylinders import MOTORED
from tappetry.simulation.engine import Engine, gas_of
from tappetry.simulation.network import Array
from tappetry.simulation.results import Point

ACTIVATION = 16_000.0
"""Half the activation temperature of the flame. [K]"""

TURBULENCE = 0.5
"""Turbulent velocity over the mean piston speed, near the upper dead centre. [1]"""

MICROSCALE = 15.0
"""Square of Taylor's microscale over that of the integral scale, times the Reynolds number. [1]"""

PHASE_LOSS = 4e-4 * (180.0 / math.pi) ** 2
"""Share of work that is lost for the square of the angle beside the best phase. [1/rad2]"""

UNBURNED, MIXTURE = Range(298.0, 900.0), Range(0.8, 1.5)
"""Of the burning velocity; it was measured up to 700 K and is taken further. [K], [1]"""

MEASURED = 0.30
"""Burned gas in the charge up to which burning velocities were measured (Rhodes and Keck). [1]"""

COOLEST_FLAME = Range(1500.0, 3500.0)
"""Below it no flame spreads (textbooks' lean limit, from memory). [K]"""

WIDEST = math.radians(20.0)
"""Deviation of phase up to which work falls with the square. [rad]"""

HOTTEST, HALVINGS = 3500.0, 60


@dataclass(frozen=True, slots=True)
class Roughness:
    """How evenly the cylinder burns that has most burned gas.

    Attributes
    ----------
    variation : float or None
        Deviation of the indicated work from cycle to cycle over its mean, gas exchange included; None beyond
        the range of the model. [1]
    why_not : str
        Why there is none.
    spread : float or None
        Deviation of the phase of the fire; None where no flame spreads. [rad]
    flame_velocity, flame_temperature : float or None
        Laminar, at the spark. [m/s], [K]
    residual : float
        Burned gas in the charge. [1]
    """

    variation: float | None
    why_not: str
    spread: float | None
    flame_velocity: float | None
    flame_temperature: float | None
    residual: float


def roughness(engine: Engine, point: Point) -> Roughness:
    """How unevenly an engine burns at a point, by its cylinder with most burned gas.

    Parameters
    ----------
    engine : Engine
        As it was turned, with its mixture; its throttle does not count.
    point : Point

    Returns
    -------
    Roughness
        Without a variation where the charge lies beyond the range of the model: then it burns too slowly or
        not at all.
    """
    worst = max(range(engine.cylinders), key=lambda number: point.residual_share[number])
    residual = point.residual_share[worst]
    if point.indicated_pressure <= 0.0:
        return Roughness(None, "the cycle gives no work", None, None, None, residual)
    try:
        temperature, pressure, height = _at_spark(engine, point, worst)
        velocity, flame = burning_velocity(engine, residual, temperature, pressure)
    except OutOfRange as error:
        return Roughness(None, str(error), None, None, None, residual)
    speed = mean_piston_speed(engine.bore.stroke, point.engine_speed)
    turbulence = TURBULENCE * float(speed)
    density = pressure / (_constant(engine, residual) * temperature)
    viscosity = float(air_transport(temperature).dynamic_viscosity) / density
    across = height * math.sqrt(MICROSCALE * viscosity / (turbulence * height))
    spread = point.engine_speed * across / velocity / math.sqrt(12.0)
    if spread > WIDEST:
        said = (
            f"cycles differ in phase by {math.degrees(spread):.0f} degrees, more than the "
            f"{math.degrees(WIDEST):.0f} up to which work falls with the square"
        )
        return Roughness(None, said, spread, velocity, flame, residual)
    gross = math.sqrt(2.0) * PHASE_LOSS * spread**2
    return Roughness(
        gross * point.closed_pressure / point.indicated_pressure, "", spread, velocity, flame, residual
    )


def burning_velocity(
    engine: Engine, residual: float, temperature: float, pressure: float
) -> tuple[float, float]:
    """Laminar velocity at which a flame eats into the charge, and the temperature behind it.

    Parameters
    ----------
    engine : Engine
        Its fuel and mixture.
    residual : float
        Share of burned gas in the charge. [1]
    temperature, pressure : float
        Of the charge. [K], [Pa]

    Returns
    -------
    tuple of float
        [m/s], [K]

    Raises
    ------
    OutOfRange
        The charge or its flame lies outside the range of the model.
    """
    fuel = engine.fuel
    ratio = require_between(
        "equivalence ratio",
        fuel.stoichiometric_ratio / fuel.air_fuel_ratio,
        MIXTURE,
        source="burning velocity",
    )
    require_between("charge temperature at the spark", temperature, UNBURNED, "K", source="burning velocity")
    flame = _flame(engine, residual, temperature)
    require_between("flame temperature", flame, COOLEST_FLAME, "K", source="no flame spreads below")
    pure = (
        (0.305 - 0.549 * (ratio - 1.21) ** 2)
        * (temperature / 298.0) ** (2.4 - 0.271 * ratio**3.51)
        * (pressure / 101325.0) ** (-0.357 + 0.14 * ratio**2.77)
    )
    slower = math.exp(-ACTIVATION * (1.0 / flame - 1.0 / _flame(engine, 0.0, temperature)))
    return float(pure * slower), flame


def _at_spark(engine: Engine, point: Point, number: int) -> tuple[float, float, float]:
    """Temperature, pressure and height of the chamber where a cylinder's fire begins."""
    bore, burning = engine.bore, engine.burning
    span = burning.span_at(point.engine_speed, point.residual_share[number])
    start = point.half_burned - burning.shape.span(span)[1]
    disc = bore.swept_volume / bore.stroke
    space = bore.clearance_volume + disc * float(piston_fall(abs(start), bore.stroke, bore.rod_length))
    smaller = point.effective_compression_ratio * bore.clearance_volume / space
    return (
        point.trapped_temperature[number] * smaller ** (MOTORED - 1.0),
        point.trapped_pressure[number] * smaller**MOTORED,
        space / disc,
    )


def _shares(engine: Engine, residual: float) -> tuple[float, float, float]:
    """Burned gas, fuel, and heat of the fire of a mass of charge. [1], [1], [J/kg]"""
    fuel, gas = engine.fuel, gas_of(engine)
    vapour = (1.0 - residual) / (1.0 + fuel.air_fuel_ratio / gas.dry_share)
    heat = (fuel.heating_value + fuel.vaporisation) * gas.heat_share * engine.burning.completeness
    return residual, vapour, vapour * heat


def _constant(engine: Engine, residual: float) -> float:
    from tappetry.simulation.volume_kernels import gas_state

    burned, fuel, _ = _shares(engine, residual)
    return float(gas_state(gas_of(engine).table, burned, fuel, 500.0)[0])


def _flame(engine: Engine, residual: float, temperature: float) -> float:
    """Temperature of the burned charge at constant pressure, without heat to walls. [K]"""
    table = gas_of(engine).table
    burned, fuel, heat = _shares(engine, residual)
    wanted = _enthalpy(table, burned, fuel, temperature) + heat
    low, high = temperature, HOTTEST
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if _enthalpy(table, 1.0, 0.0, middle) > wanted:
            high = middle
        else:
            low = middle
    return 0.5 * (low + high)


def _enthalpy(table: Array, burned: float, fuel: float, temperature: float) -> float:
    from tappetry.simulation.volume_kernels import gas_state

    constant, energy, _ = gas_state(table, burned, fuel, temperature)
    return float(energy + constant * temperature)
