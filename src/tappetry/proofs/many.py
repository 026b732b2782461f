"""Margins of one proof for many engines or choices of parts at once."""

from __future__ import annotations

import numpy as np

from tappetry.assembly.arrays import Arrays, Many
from tappetry.knowledge.model import ProofRule


def margins(arrays: Arrays, proof: ProofRule) -> Many:
    """How far each keeps inside the limits, in the proof's unit (negative: short).

    Returns
    -------
    ndarray
        Of the shape to which broadcast the values that the proof hangs on.

    Raises
    ------
    Unknown
        A value that the proof needs has not been stated.
    """
    value = arrays.number(proof.value)
    room: Many = np.asarray(np.inf)
    if proof.at_least is not None:
        room = np.asarray(value - arrays.number(proof.at_least))
    if proof.at_most is not None:
        room = np.minimum(room, arrays.number(proof.at_most) - value)
    return room
