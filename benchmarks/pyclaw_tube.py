"""Sod's tube by PyClaw, for `shock_tube`: run by the Python of the virtual environment that holds PyClaw.

For every line with a number of cells it answers with one of JSON: processor seconds, and the densities.
"""

from __future__ import annotations

import json
import sys
from time import process_time
from typing import Any

import numpy as np
from clawpack import pyclaw, riemann

GAMMA, TIME, COURANT = 1.4, 0.2, 0.9


def tube(cells: int) -> Any:
    """What turns the tube, at its beginning: kernels in Fortran, MC limiter."""
    solver = pyclaw.ClawSolver1D(riemann.euler_with_efix_1D)
    solver.limiters = pyclaw.limiters.tvd.MC
    solver.cfl_desired, solver.cfl_max, solver.max_steps = COURANT, 1.0, 10**6
    solver.bc_lower[0] = solver.bc_upper[0] = pyclaw.BC.extrap
    domain = pyclaw.Domain([pyclaw.Dimension(0.0, 1.0, cells, name="x")])
    state = pyclaw.State(domain, 3)
    state.problem_data.update({"gamma": GAMMA, "gamma1": GAMMA - 1.0, "efix": False})
    low = state.grid.x.centers < 0.5
    state.q[0] = np.where(low, 1.0, 0.125)
    state.q[1] = 0.0
    state.q[2] = np.where(low, 1.0, 0.1) / (GAMMA - 1.0)
    controller = pyclaw.Controller()
    controller.solution, controller.solver = pyclaw.Solution(state, domain), solver
    controller.tfinal, controller.num_output_times = TIME, 1
    controller.keep_copy, controller.output_format, controller.verbosity = False, None, 0
    return controller


def main() -> None:
    for line in sys.stdin:
        controller = tube(int(line))
        begun = process_time()
        controller.run()
        seconds = process_time() - begun
        print(json.dumps([seconds, controller.solution.q[0].tolist()]), flush=True)


if __name__ == "__main__":
    main()
