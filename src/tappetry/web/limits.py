"""How often and how long programs may ask, lest one take the shop from the others; how long pages wait."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable

#: So many requests at once, and so many a second after that, for each who asks.
AT_ONCE, EACH_SECOND = 120, 20.0
#: How long one request may take. [s]
LONGEST = 60.0
#: How long a page waits for what is not worked out yet; after that it says so, and comes by itself. [s]
PATIENCE = 0.1
#: How many that ask are remembered.
REMEMBERED = 4_096


class Rate:
    """Counts down what each who asks may still ask; it fills up again with time."""

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        self._now = now
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def wait(self, who: str) -> float:
        """How long somebody has to wait before the next request; 0 lets this one pass. [s]"""
        now = self._now()
        left, at = self._left.pop(who, (float(AT_ONCE), now))
        left = min(AT_ONCE, left + (now - at) * EACH_SECOND)
        passes = left >= 1
        self._left[who] = (left - 1 if passes else left, now)
        while len(self._left) > REMEMBERED:
            self._left.popitem(last=False)
        return 0.0 if passes else (1 - left) / EACH_SECOND
