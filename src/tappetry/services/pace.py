"""Lets pages wait neither long for a thread that works, nor for a search for garbage in what stays.

A search through all that a shop with 200,000 parts has in memory stops every page for seconds. What outlived
one is there to stay, and is left out of the next; only a new text makes garbage of it.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Mapping

#: After how long a thread that works lets another one go on. So long a page waits while a kit is worked out,
#: each time that it comes back from the database. [s]
SWITCH = 0.0005
#: So many objects more than before make the interpreter look for garbage: among new ones, among those that
#: stayed so often, among all that came after the last search through all.
GARBAGE = (5_000, 5, 50)


def keep_pace() -> None:
    """From now on, and for what is there already."""
    sys.setswitchinterval(SWITCH)
    gc.freeze()
    gc.set_threshold(*GARBAGE)
    gc.callbacks.append(_leave_out)


def look_again() -> None:
    """What is there to stay may be garbage now: let the next search go through it once more."""
    if _leave_out in gc.callbacks:
        gc.unfreeze()


def _leave_out(phase: str, search: Mapping[str, int]) -> None:
    """Leave out of later searches what outlived one through all."""
    if phase == "stop" and search["generation"] == 2:
        gc.freeze()
