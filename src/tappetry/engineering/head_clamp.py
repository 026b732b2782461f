"""Head bolts against the gas: load per bolt, pressure on the gasket, and when the head lifts."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Metre, Newton, Pascal, Pure, SquareMetre


@dataclass(frozen=True, slots=True)
class HeadClamp:
    """One cylinder's share of a head, still and at its highest pressure.

    Attributes
    ----------
    gas_load : float or ndarray
        [N]
    gas_load_per_bolt : float or ndarray
        [N]
    bolt_load : float or ndarray
        At the highest pressure. [N]
    gasket_pressure : float or ndarray
        [Pa]
    firing_gasket_pressure : float or ndarray
        [Pa]
    lift_factor : float or ndarray
        [1]
    sealing_ratio : float or ndarray
        [1]
    """

    gas_load: Newton
    gas_load_per_bolt: Newton
    bolt_load: Newton
    gasket_pressure: Pascal
    firing_gasket_pressure: Pascal
    lift_factor: Pure
    sealing_ratio: Pure


def head_clamp(
    bolt_preload: Newton,
    bolts_per_cylinder: Pure,
    joint_constant: Pure,
    firing_pressure: Pascal,
    gasket_bore: Metre,
    gasket_area: SquareMetre,
) -> HeadClamp:
    r"""Clamp of a cylinder head against the gas of one cylinder.

    .. math::

        P = p \frac{\pi}{4} d^2,\quad F = F_i + C \frac{P}{n},\quad
        q = \frac{n F_i - (1 - C) P}{A},\quad \nu = \frac{n F_i}{(1 - C) P}

    Parameters
    ----------
    bolt_preload : float or array_like
        F_i, of one bolt. [N]
    bolts_per_cylinder : float or array_like
        n: those between two cylinders count half to each. [1]
    joint_constant : float or array_like
        C, the share of an outer load that the bolt feels. [1]
    firing_pressure : float or array_like
        p, above the ambient. [Pa]
    gasket_bore : float or array_like
        d, up to where the gas presses. [m]
    gasket_area : float or array_like
        A, of one cylinder. [m2]

    Returns
    -------
    HeadClamp
        Loads [N], pressures [Pa] and factors [1]; all means, as if head and bolts bore evenly.

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> found = head_clamp(60e3, 5.0, 0.25, 8e6, 0.101, 0.008)
    >>> print(round(found.gas_load), round(found.bolt_load), round(found.lift_factor, 2))
    64095 63205 6.24

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, chapter 8, tension joints and gasketed joints
       (from memory; re-derived in the tests).
    """
    preload = require("bolt_preload", bolt_preload)
    bolts = require("bolts_per_cylinder", bolts_per_cylinder)
    shared = require("joint_constant", joint_constant)
    pressure = require("firing_pressure", firing_pressure)
    area = require("gasket_area", gasket_area)
    gas = pressure * math.pi / 4.0 * require("gasket_bore", gasket_bore) ** 2
    clamp, lift = bolts * preload, (1.0 - shared) * gas
    left = (clamp - lift) / area
    with np.errstate(divide="ignore"):
        factor = np.divide(clamp, lift)
    return HeadClamp(
        gas_load=gas,
        gas_load_per_bolt=gas / bolts,
        bolt_load=preload + shared * gas / bolts,
        gasket_pressure=clamp / area,
        firing_gasket_pressure=left,
        lift_factor=factor,
        sealing_ratio=left / pressure,
    )
