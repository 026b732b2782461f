"""Worn lobes: how far the lobes of one kind have fallen below their card."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Metre, Pure


@dataclass(frozen=True, slots=True)
class LobeWear:
    """What the lifts of a camshaft's lobes say of its wear.

    Attributes
    ----------
    lift_spread : float or ndarray
        Largest less smallest lift. [m]
    worst_lobe : float or ndarray
        Place of the lowest lobe in the list, counted from 1; of equal ones the first. [1]
    worst_loss : float or ndarray
        Lift on the card less the lowest lobe's. [m]
    worn_lobes : float or ndarray
        How many are lower than the tolerance allows. [1]
    """

    lift_spread: Metre
    worst_lobe: Pure
    worst_loss: Metre
    worn_lobes: Pure


def lobe_wear(lobe_lifts: Metre, lobe_lift: Metre, lift_tolerance: Metre) -> LobeWear:
    r"""The spread of the lobes' lifts, and which are worn.

    .. math:: L_{card} - \min_k L_k,\quad \#\{k: L_{card} - L_k > t\}

    Parameters
    ----------
    lobe_lifts : array_like
        Lifts as measured, in the order of the cylinders; one dimension. [m]
    lobe_lift : float or array_like
        Lift on the card. [m]
    lift_tolerance : float or array_like
        How much lower a lobe may be. [m]

    Returns
    -------
    LobeWear
        Lifts in [m], counts in [1].

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> found = lobe_wear((8.76e-3, 8.75e-3, 8.51e-3, 8.77e-3), 8.763e-3, 0.1e-3)
    >>> print(found.worst_lobe, round(found.worst_loss * 1e3, 3), found.worn_lobes)
    3.0 0.253 1.0

    References
    ----------
    .. [1] Definition; 0.1 mm between card and lobe is common practice, no source.
    """
    lifts = np.atleast_1d(require("lobe_lifts", lobe_lifts))
    card = np.asarray(require("lobe_lift", lobe_lift))
    tolerance = np.asarray(require("lift_tolerance", lift_tolerance))
    loss = card[..., np.newaxis] - lifts
    worn = (loss > tolerance[..., np.newaxis]).sum(axis=-1)
    each = np.broadcast(card, tolerance)
    return LobeWear(
        lift_spread=np.broadcast_to(np.ptp(lifts), each.shape)[()],
        worst_lobe=np.broadcast_to(lifts.argmin() + 1.0, each.shape)[()],
        worst_loss=np.broadcast_to(loss.max(axis=-1), each.shape)[()],
        worn_lobes=worn.astype(np.float64)[()],
    )
