"""Two states of a perfect gas that meet: the exact solution, by which schemes for pipes are judged."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    KilogramPerCubicMetre,
    Metre,
    MetrePerSecond,
    Pascal,
    Pure,
    Range,
    Real,
    Second,
    require_between,
)


@dataclass(frozen=True, slots=True)
class StarState:
    """The gas between the two waves.

    Attributes
    ----------
    star_pressure : float or ndarray
        The same on both sides of the contact. [Pa]
    star_velocity : float or ndarray
        The same on both sides of the contact, to the right positive. [m/s]
    left_star_density : float or ndarray
        [kg/m3]
    right_star_density : float or ndarray
        [kg/m3]
    """

    star_pressure: Pascal
    star_velocity: MetrePerSecond
    left_star_density: KilogramPerCubicMetre
    right_star_density: KilogramPerCubicMetre


@dataclass(frozen=True, slots=True)
class WavePositions:
    """Where the waves are after a time.

    Attributes
    ----------
    left_head_position : float or ndarray
        Front of the left wave. [m]
    left_tail_position : float or ndarray
        Its rear; of a shock the same. [m]
    contact_position : float or ndarray
        [m]
    right_tail_position : float or ndarray
        Rear of the right wave; of a shock its front. [m]
    right_head_position : float or ndarray
        Front of the right wave. [m]
    """

    left_head_position: Metre
    left_tail_position: Metre
    contact_position: Metre
    right_tail_position: Metre
    right_head_position: Metre


@dataclass(frozen=True, slots=True)
class SampledState:
    """The gas at one place.

    Attributes
    ----------
    gas_density : float or ndarray
        [kg/m3]
    gas_velocity : float or ndarray
        To the right positive. [m/s]
    gas_pressure : float or ndarray
        [Pa]
    """

    gas_density: KilogramPerCubicMetre
    gas_velocity: MetrePerSecond
    gas_pressure: Pascal


@dataclass(frozen=True, slots=True)
class _Side:
    """One of the two states; its velocity is positive towards the other."""

    density: Real
    velocity: Real
    pressure: Real
    gamma: Real

    @property
    def sound(self) -> Real:
        speed: Real = np.sqrt(self.gamma * self.pressure / self.density)
        return speed

    def velocity_change(self, pressure: Real) -> tuple[Real, Real]:
        """How much the wave changes the velocity, and the slope of that over pressure."""
        g = self.gamma
        a, b = 2.0 / ((g + 1.0) * self.density), (g - 1.0) / (g + 1.0) * self.pressure
        root = np.sqrt(a / (pressure + b))
        shock = (pressure - self.pressure) * root
        shock_slope = root * (1.0 - (pressure - self.pressure) / (2.0 * (pressure + b)))
        ratio = pressure / self.pressure
        fan = 2.0 * self.sound / (g - 1.0) * (ratio ** ((g - 1.0) / (2.0 * g)) - 1.0)
        fan_slope = ratio ** (-(g + 1.0) / (2.0 * g)) / (self.density * self.sound)
        compressed = pressure > self.pressure
        return np.where(compressed, shock, fan)[()], np.where(compressed, shock_slope, fan_slope)[()]

    def star_density(self, pressure: Real) -> Real:
        """Density behind the wave."""
        small, ratio = (self.gamma - 1.0) / (self.gamma + 1.0), pressure / self.pressure
        shock = (ratio + small) / (small * ratio + 1.0)
        density: Real = self.density * np.where(ratio > 1.0, shock, ratio ** (1.0 / self.gamma))[()]
        return density

    def speeds(self, pressure: Real, velocity: Real) -> tuple[Real, Real]:
        """How fast the wave's front and rear run away from the other side; `velocity` runs towards it."""
        g, ratio = self.gamma, pressure / self.pressure
        shock = self.sound * np.sqrt((g + 1.0) / (2.0 * g) * ratio + (g - 1.0) / (2.0 * g)) - self.velocity
        rear = self.sound * ratio ** ((g - 1.0) / (2.0 * g)) - velocity
        head = np.where(ratio > 1.0, shock, self.sound - self.velocity)[()]
        return head, np.where(ratio > 1.0, shock, rear)[()]

    def state(self, speed: Real, pressure: Real, velocity: Real) -> tuple[Real, Real, Real]:
        """Density, velocity and pressure at a speed away from the other side, on this side of the contact."""
        head, tail = self.speeds(pressure, velocity)
        fan = self.inside_fan(np.clip(speed, np.minimum(tail, head), head)[()])
        behind = (self.star_density(pressure), velocity, pressure)
        ahead = (self.density, self.velocity, self.pressure)
        untouched, passed = speed >= head, speed <= tail
        density, moved, held = (
            np.where(untouched, first, np.where(passed, last, between))[()]
            for first, last, between in zip(ahead, behind, fan, strict=True)
        )
        return density, moved, held

    def inside_fan(self, speed: Real) -> tuple[Real, Real, Real]:
        """Density, velocity and pressure where the fan runs away at a speed."""
        g = self.gamma
        sound = 2.0 / (g + 1.0) * (self.sound + (g - 1.0) / 2.0 * (speed + self.velocity))
        ratio = np.maximum(sound, 0.0) / self.sound
        density = self.density * ratio ** (2.0 / (g - 1.0))
        return density, sound - speed, self.pressure * ratio ** (2.0 * g / (g - 1.0))


def _sides(
    left_density: Real,
    left_velocity: Real,
    left_pressure: Real,
    right_density: Real,
    right_velocity: Real,
    right_pressure: Real,
    heat_capacity_ratio: Real,
) -> tuple[_Side, _Side]:
    """Both states, each with its velocity towards the other."""
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    left = _Side(
        require("left_density", left_density),
        require("left_velocity", left_velocity),
        require("left_pressure", left_pressure),
        gamma,
    )
    right = _Side(
        require("right_density", right_density),
        -require("right_velocity", right_velocity),
        require("right_pressure", right_pressure),
        gamma,
    )
    parting = -(left.velocity + right.velocity)
    require_between(
        "velocity of parting over velocity that leaves a vacuum",
        parting * (gamma - 1.0) / (2.0 * (left.sound + right.sound)),
        Range(-math.inf, 1.0),
        source="two gases that part faster leave a vacuum between them",
        advice="Check the signs: to the right is positive on both sides",
    )
    return left, right


def _solve(left: _Side, right: _Side) -> tuple[Real, Real]:
    """Pressure and velocity between the waves: Newton's method from the pressure of two fans.

    The sum of the velocity changes rises ever more slowly with pressure, so that after the first step each
    further one comes closer from below.
    """
    closing = left.velocity + right.velocity
    power = (left.gamma - 1.0) / (2.0 * left.gamma)
    reach = left.sound + right.sound + (left.gamma - 1.0) / 2.0 * closing
    pressure: Real = (reach / (left.sound / left.pressure**power + right.sound / right.pressure**power)) ** (
        1.0 / power
    )
    least = 1e-6 * np.minimum(np.minimum(left.pressure, right.pressure), pressure)
    for _ in range(200):
        (change_left, slope_left), (change_right, slope_right) = (
            left.velocity_change(pressure),
            right.velocity_change(pressure),
        )
        step = (change_left + change_right - closing) / (slope_left + slope_right)
        pressure = np.maximum(pressure - step, least)[()]
        if bool(np.all(np.abs(step) <= 1e-13 * pressure)):
            break
    change_left, change_right = left.velocity_change(pressure)[0], right.velocity_change(pressure)[0]
    return pressure, 0.5 * (left.velocity - change_left - right.velocity + change_right)


def riemann_problem(
    left_density: KilogramPerCubicMetre,
    left_velocity: MetrePerSecond,
    left_pressure: Pascal,
    right_density: KilogramPerCubicMetre,
    right_velocity: MetrePerSecond,
    right_pressure: Pascal,
    heat_capacity_ratio: Pure,
) -> StarState:
    r"""Pressure, velocity and densities between the waves that part two states.

    .. math::

        f_L(p^*) + f_R(p^*) + u_R - u_L = 0,\quad
        f_K = (p^* - p_K) \sqrt{\frac{2}{\rho_K [(\gamma + 1) p^* + (\gamma - 1) p_K]}}\ (p^* > p_K),\quad
        f_K = \frac{2 a_K}{\gamma - 1} \left[\left(\frac{p^*}{p_K}\right)^{(\gamma - 1)/(2 \gamma)} - 1\right]

    Parameters
    ----------
    left_density : float or array_like
        [kg/m3]
    left_velocity : float or array_like
        To the right positive. [m/s]
    left_pressure : float or array_like
        [Pa]
    right_density : float or array_like
        [kg/m3]
    right_velocity : float or array_like
        To the right positive. [m/s]
    right_pressure : float or array_like
        [Pa]
    heat_capacity_ratio : float or array_like
        gamma, the same on both sides. [1]

    Returns
    -------
    StarState
        [Pa], [m/s] and [kg/m3]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the two part so fast that a vacuum is left.

    Examples
    --------
    [1]_ prints 0.30313, 0.92745, 0.42632 and 0.26557:

    >>> star = riemann_problem(1.0, 0.0, 1.0, 0.125, 0.0, 0.1, 1.4)
    >>> print(round(star.star_pressure, 5), round(star.star_velocity, 5))
    0.30313 0.92745
    >>> print(round(star.left_star_density, 5), round(star.right_star_density, 5))
    0.42632 0.26557

    References
    ----------
    .. [1] Toro, Riemann Solvers and Numerical Methods for Fluid Dynamics, chapter 4, test 1 (from memory).
    """
    left, right = _sides(
        left_density,
        left_velocity,
        left_pressure,
        right_density,
        right_velocity,
        right_pressure,
        heat_capacity_ratio,
    )
    pressure, velocity = _solve(left, right)
    return StarState(
        star_pressure=pressure,
        star_velocity=velocity,
        left_star_density=left.star_density(pressure),
        right_star_density=right.star_density(pressure),
    )


def shock_tube_waves(
    left_density: KilogramPerCubicMetre,
    left_velocity: MetrePerSecond,
    left_pressure: Pascal,
    right_density: KilogramPerCubicMetre,
    right_velocity: MetrePerSecond,
    right_pressure: Pascal,
    heat_capacity_ratio: Pure,
    elapsed_time: Second,
    diaphragm_position: Metre,
) -> WavePositions:
    r"""Where shock, contact and fan are a time after a diaphragm bursts.

    .. math:: x = x_0 + S t

    Parameters
    ----------
    left_density : float or array_like
        [kg/m3]
    left_velocity : float or array_like
        To the right positive. [m/s]
    left_pressure : float or array_like
        [Pa]
    right_density : float or array_like
        [kg/m3]
    right_velocity : float or array_like
        To the right positive. [m/s]
    right_pressure : float or array_like
        [Pa]
    heat_capacity_ratio : float or array_like
        gamma, the same on both sides. [1]
    elapsed_time : float or array_like
        t. [s]
    diaphragm_position : float or array_like
        x_0. [m]

    Returns
    -------
    WavePositions
        [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the two part so fast that a vacuum is left.

    Examples
    --------
    >>> waves = shock_tube_waves(1.0, 0.0, 1.0, 0.125, 0.0, 0.1, 1.4, 0.2, 0.5)
    >>> print(round(waves.contact_position, 4), round(waves.right_head_position, 4))
    0.6855 0.8504

    References
    ----------
    .. [1] Toro, Riemann Solvers and Numerical Methods for Fluid Dynamics, chapter 4 (from memory; mass,
       momentum and energy are kept in the tests).
    """
    left, right = _sides(
        left_density,
        left_velocity,
        left_pressure,
        right_density,
        right_velocity,
        right_pressure,
        heat_capacity_ratio,
    )
    pressure, velocity = _solve(left, right)
    time = require("elapsed_time", elapsed_time)
    start = require("diaphragm_position", diaphragm_position)
    left_head, left_tail = left.speeds(pressure, velocity)
    right_head, right_tail = right.speeds(pressure, -velocity)
    return WavePositions(
        left_head_position=start - left_head * time,
        left_tail_position=start - left_tail * time,
        contact_position=start + velocity * time,
        right_tail_position=start + right_tail * time,
        right_head_position=start + right_head * time,
    )


def riemann_state(
    left_density: KilogramPerCubicMetre,
    left_velocity: MetrePerSecond,
    left_pressure: Pascal,
    right_density: KilogramPerCubicMetre,
    right_velocity: MetrePerSecond,
    right_pressure: Pascal,
    heat_capacity_ratio: Pure,
    elapsed_time: Second,
    diaphragm_position: Metre,
    sample_position: Metre,
) -> SampledState:
    r"""Density, velocity and pressure at a place, a time after two states met.

    .. math:: U(x, t) = U\left(\frac{x - x_0}{t}\right)

    Parameters
    ----------
    left_density : float or array_like
        [kg/m3]
    left_velocity : float or array_like
        To the right positive. [m/s]
    left_pressure : float or array_like
        [Pa]
    right_density : float or array_like
        [kg/m3]
    right_velocity : float or array_like
        To the right positive. [m/s]
    right_pressure : float or array_like
        [Pa]
    heat_capacity_ratio : float or array_like
        gamma, the same on both sides. [1]
    elapsed_time : float or array_like
        t. [s]
    diaphragm_position : float or array_like
        x_0. [m]
    sample_position : float or array_like
        x. [m]

    Returns
    -------
    SampledState
        [kg/m3], [m/s] and [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the two part so fast that a vacuum is left.

    Examples
    --------
    >>> there = riemann_state(1.0, 0.0, 1.0, 0.125, 0.0, 0.1, 1.4, 0.2, 0.5, 0.4)
    >>> print(round(there.gas_density, 4), round(there.gas_velocity, 4), round(there.gas_pressure, 4))
    0.6029 0.5693 0.4925

    References
    ----------
    .. [1] Toro, Riemann Solvers and Numerical Methods for Fluid Dynamics, section 4.5 (from memory; mass,
       momentum and energy are kept in the tests).
    """
    left, right = _sides(
        left_density,
        left_velocity,
        left_pressure,
        right_density,
        right_velocity,
        right_pressure,
        heat_capacity_ratio,
    )
    pressure, velocity = _solve(left, right)
    distance = require("sample_position", sample_position) - require("diaphragm_position", diaphragm_position)
    speed = distance / require("elapsed_time", elapsed_time)
    density_left, velocity_left, pressure_left = left.state(-speed, pressure, velocity)
    density_right, velocity_right, pressure_right = right.state(speed, pressure, -velocity)
    on_the_left = speed <= velocity
    return SampledState(
        gas_density=np.where(on_the_left, density_left, density_right)[()],
        gas_velocity=np.where(on_the_left, velocity_left, -velocity_right)[()],
        gas_pressure=np.where(on_the_left, pressure_left, pressure_right)[()],
    )
