"""Lists whose entries belong together."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import OutOfRange, Real


def require_list(name: str, values: Real) -> NDArray[np.float64]:
    """A list of a quantity's values, each in its range."""
    return np.atleast_1d(np.asarray(require(name, values)))


def require_pairs(name: str, values: Real, other: str, others: NDArray[np.float64]) -> NDArray[np.float64]:
    """A list of a quantity's values, each in its range, with as many entries as another list."""
    found = require_list(name, values)
    if len(found) != len(others):
        raise OutOfRange(
            f"number of {name}",
            len(found),
            f"{len(others)}, as many as of {other}",
            advice="Each has its partner at the same place in the list",
        )
    return found
