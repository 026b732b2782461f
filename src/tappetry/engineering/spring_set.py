"""Springs that have set: what a shorter free length took, and what to order so that enough is left."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Metre, Newton, NewtonPerMetre, OutOfRange, Pure


@dataclass(frozen=True, slots=True)
class SpringSet:
    """What a spring has lost.

    Attributes
    ----------
    length_lost : float or ndarray
        [m]
    load_lost : float or ndarray
        [N]
    load_kept : float or ndarray
        [1]
    """

    length_lost: Metre
    load_lost: Newton
    load_kept: Pure


def spring_set(
    new_free_length: Metre, free_length: Metre, spring_rate: NewtonPerMetre, reference_load: Newton
) -> SpringSet:
    r"""Load that a spring has lost by taking a set, its rate unchanged.

    .. math:: \Delta l = l_{new} - l,\quad \Delta F = k \Delta l,\quad 1 - \Delta F / F

    Parameters
    ----------
    new_free_length : float or array_like
        Free length of the new spring. [m]
    free_length : float or array_like
        Free length as measured now. [m]
    spring_rate : float or array_like
        k. [N/m]
    reference_load : float or array_like
        F, of the new spring at the height looked at. [N]

    Returns
    -------
    SpringSet
        Length [m], load [N], and the share of the load that is kept, below 0 where none is. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the spring is longer than when it was new.

    Examples
    --------
    >>> found = spring_set(54.0e-3, 53.2e-3, 65e3, 534.0)
    >>> print(round(found.load_lost, 1), round(found.load_kept, 3))
    52.0 0.903

    References
    ----------
    .. [1] Linear spring; more than 10 % of the load lost is a spring to renew: common practice, no source.
    """
    lost = require("new_free_length", new_free_length) - require("free_length", free_length)
    if np.any(lost < 0.0):
        raise OutOfRange(
            "new_free_length less free_length",
            float(np.min(lost)),
            "at least 0 m",
            unit="m",
            advice="A used spring is not longer than a new one: check that both are of one kind",
        )
    load = require("spring_rate", spring_rate) * lost
    return SpringSet(
        length_lost=lost, load_lost=load, load_kept=1.0 - load / require("reference_load", reference_load)
    )


def load_to_order(wanted_load: Newton, relaxation: Pure) -> Newton:
    r"""Load of a new spring so that the wanted one is left when it has relaxed.

    .. math:: F / (1 - r)

    Parameters
    ----------
    wanted_load : float or array_like
        F, that has to be there in service. [N]
    relaxation : float or array_like
        r, share of the load that goes with heat and time. [1]

    Returns
    -------
    float or ndarray
        At the same height. [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(load_to_order(534.0, 0.05), 1))
    562.1

    References
    ----------
    .. [1] Definition; 3 to 8 % in the first hours is common practice, no source.
    """
    return require("wanted_load", wanted_load) / (1.0 - require("relaxation", relaxation))
