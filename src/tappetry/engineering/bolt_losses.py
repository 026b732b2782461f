"""What a clamped joint loses: by settling, by the scatter of tightening, by what gives way below a head."""

from __future__ import annotations

import math

from tappetry.engineering.clamped_joint import joint_constant
from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Metre,
    Newton,
    NewtonPerMetre,
    Pascal,
    Pure,
    Range,
    require_between,
)


def settling_loss(
    settlement: Metre, bolt_stiffness: NewtonPerMetre, joint_stiffness: NewtonPerMetre
) -> Newton:
    r"""Preload that settling of threads and faces takes away.

    .. math:: F_Z = f_Z \frac{k_b k_m}{k_b + k_m}

    Parameters
    ----------
    settlement : float or array_like
        f_Z, of all faces together. [m]
    bolt_stiffness : float or array_like
        k_b. [N/m]
    joint_stiffness : float or array_like
        k_m, of the clamped parts. [N/m]

    Returns
    -------
    float or ndarray
        [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(settling_loss(8e-6, 260e6, 800e6)))
    1570

    References
    ----------
    .. [1] VDI 2230-1, loss of preload by embedding (from memory).
    """
    share = joint_constant(bolt_stiffness, joint_stiffness)
    return require("settlement", settlement) * share * require("joint_stiffness", joint_stiffness)


def least_bolt_preload(bolt_preload: Newton, tightening_factor: Pure) -> Newton:
    r"""Least preload of a way of tightening whose largest is known.

    .. math:: F_{min} = F_{max} / \alpha_A

    Parameters
    ----------
    bolt_preload : float or array_like
        F_max, for which the bolt is chosen. [N]
    tightening_factor : float or array_like
        alpha_A, largest over least. [1]

    Returns
    -------
    float or ndarray
        [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(least_bolt_preload(48e3, 1.6))
    30000.0

    References
    ----------
    .. [1] VDI 2230-1, tightening factor (from memory): 1.2 to 1.4 by angle or yield, 1.4 to 1.6 by a torque
       wrench with friction known, to 2.5 with friction guessed, to 4 by an impact wrench.
    """
    return require("bolt_preload", bolt_preload) / require("tightening_factor", tightening_factor)


def head_bearing_pressure(
    bolt_load: Newton, head_outer_diameter: Metre, through_hole_diameter: Metre
) -> Pascal:
    r"""Mean pressure under the head of a bolt.

    .. math:: p = \frac{F}{\frac{\pi}{4} (d_w^2 - d_h^2)}

    Parameters
    ----------
    bolt_load : float or array_like
        F. [N]
    head_outer_diameter : float or array_like
        d_w, outside of the ring that bears. [m]
    through_hole_diameter : float or array_like
        d_h, inside of that ring. [m]

    Returns
    -------
    float or ndarray
        [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the hole is as wide as the head.

    Examples
    --------
    >>> print(round(head_bearing_pressure(44e3, 14.63e-3, 11e-3) / 1e6))
    602

    References
    ----------
    .. [1] Definition; VDI 2230-1 holds it below what the clamped part bears (from memory): some 200 to
       300 MPa for cast aluminium, 850 MPa for grey iron.
    """
    outer = require("head_outer_diameter", head_outer_diameter)
    inner = require("through_hole_diameter", through_hole_diameter)
    require_between(
        "through_hole_diameter over head_outer_diameter",
        inner / outer,
        Range(0.0, 0.999),
        source="without a ring nothing bears",
        advice="Take the bearing ring's outside, not the width across flats or the thread",
    )
    return require("bolt_load", bolt_load) / (math.pi / 4.0 * (outer**2 - inner**2))
