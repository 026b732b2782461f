"""What no other one beats."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray


def undominated(scores: Sequence[Sequence[float]]) -> NDArray[np.bool_]:
    """Which of several things are beaten by no other: as good in every score and better in one.

    Parameters
    ----------
    scores : sequence of sequence of float, shape (n, m)
        The more the better.

    Returns
    -------
    ndarray of bool, shape (n,)
        Of two that are equal both are kept.
    """
    found = np.asarray(scores, dtype=np.float64)
    if found.size == 0:
        return np.zeros(len(scores), dtype=np.bool_)
    as_good = (found[:, np.newaxis, :] >= found[np.newaxis, :, :]).all(axis=2)
    better = (found[:, np.newaxis, :] > found[np.newaxis, :, :]).any(axis=2)
    return np.asarray(~(as_good & better).any(axis=0))
