"""What may wait until the first page has been shown: begun beside the server, and ended with it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import AbstractContextManager, ExitStack
from types import TracebackType

#: How long after the first page work begins: what belongs to the page is fetched meanwhile. [s]
PAUSE = 1.0
#: When it begins at the latest, should nobody ask for a page. [s]
LATEST = 3.0


class Afterwards:
    """Begins some work after `shown` was called, and ends it with the block.

    Parameters
    ----------
    at_once : callable
        Is called as soon as the first page has been shown.
    begin : callables
        Each makes a block that lasts as long as this one; they are entered in their order, a while later.
    """

    def __init__(
        self, at_once: Callable[[], None], *begin: Callable[[], AbstractContextManager[object]]
    ) -> None:
        self._at_once = at_once
        self._begin = begin
        self._begun = ExitStack()
        self._shown, self._over = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._wait_and_begin, daemon=True)

    def shown(self) -> None:
        """The first page has been shown."""
        self._shown.set()

    def __enter__(self) -> Afterwards:
        """Wait for the first page."""
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """End what was begun."""
        self._over.set()
        self._shown.set()
        self._thread.join()
        self._begun.close()

    def _wait_and_begin(self) -> None:
        self._shown.wait(LATEST)
        if not self._over.is_set():
            self._at_once()
        if not self._over.wait(PAUSE):
            for each in self._begin:
                self._begun.enter_context(each())
