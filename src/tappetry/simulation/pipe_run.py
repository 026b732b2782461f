"""One pipe by itself, between two ends that stay as they are, over a time: for tests and measurements."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation.compiled import kernel
from tappetry.simulation.end_kernels import pass_end
from tappetry.simulation.pipe_kernels import edges, extrapolate, fastest, fluxes, update

Buffer = NDArray[np.float64]


@kernel
def run_pipe(
    s: Buffer,
    cells: int,
    gas: Buffer,
    duration: float,
    courant: float,
    ends: NDArray[np.int64],
    outside: Buffer,
) -> int:
    """Advance the gas of a pipe by a duration and return the number of steps.

    Parameters
    ----------
    s : ndarray
        Buffer, from the pipe's first place.
    cells : int
        Of the pipe.
    gas : ndarray, shape (3, 13)
        `Gas.table`.
    duration : float
        [s]
    courant : float
        Share of the time that the fastest wave needs for a cell. [1]
    ends : ndarray of int, shape (2,)
        Kind of the low and of the high end.
    outside : ndarray, shape (2, 8)
        For each end: effective area [m2], then of the gas behind it pressure, gamma, gas constant,
        temperature, enthalpy, shares of burned gas and of fuel.
    """
    done, steps = 0.0, 0
    speed = fastest(s, cells + 2)
    while done < duration:
        step = courant / speed
        left = duration - done
        step = left / max(math.ceil(left / step), 1.0)
        extrapolate(s, 0, cells)
        edges(s, cells + 2, step)
        fluxes(s, cells + 2)
        for end in range(2):
            o = outside[end]
            pass_end(s, 0, cells, end == 1, ends[end], o[0], o[1], o[2], o[3], o[4], o[5], o[6], o[7], 0.0)
        speed = update(s, cells + 2, step, gas)
        done = duration if step >= left else done + step
        steps += 1
    return steps
