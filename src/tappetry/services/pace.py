"""Lets pages wait neither long for a thread that works, nor for a search for garbage in what stays.

A search through all that a shop with 200,000 parts has in memory stops every page for seconds. What outlived
one is mostly there to stay, and is left out of those to come, but for one in many.
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
GARBAGE = (5_000, 5, 20)
#: One search through all in so many goes through what outlived earlier ones, too: some was in use then alone.
THOROUGH = 100


class _Leaving:
    """Leaves out of later searches what outlived one through all."""

    def __init__(self) -> None:
        self.searches = 0

    def __call__(self, phase: str, search: Mapping[str, int]) -> None:
        """Is told of the begin and the end of every search."""
        if phase == "stop" and search["generation"] == 2:
            self.searches += 1
            if self.searches % THOROUGH == 0:
                gc.unfreeze()
            else:
                gc.freeze()


def keep_pace() -> None:
    """From now on, and for what is there already."""
    sys.setswitchinterval(SWITCH)
    gc.freeze()
    gc.set_threshold(*GARBAGE)
    gc.callbacks.append(_Leaving())


def look_again() -> None:
    """What is there to stay may be garbage now: let the next search go through it once more."""
    if any(isinstance(each, _Leaving) for each in gc.callbacks):
        gc.unfreeze()
