"""Works out one thing at a time beside those who ask, and remembers what came of it.

The shop's memory of what conditions came to is made for one at a time. What is remembered already waits for
nobody; whoever asks for what is not known yet may say how long he waits for it.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from contextvars import ContextVar
from threading import Lock, current_thread
from time import monotonic
from typing import Any, Generic, TypeVar

from tappetry.records.problems import Refusal

#: Until when whoever asks here waits for what is not known yet, by the monotonic clock; None is until it is
#: there. [s]
UNTIL: ContextVar[float | None] = ContextVar("until", default=None)
#: How much is remembered, so that a page that is read again is there at once.
REMEMBERED = 256
T = TypeVar("T")


class StillWorking(Exception):
    """What was asked for is being worked out, and will be remembered for whoever asks again.

    ``since`` is when it was asked for first, by the monotonic clock. [s]
    """

    def __init__(self, what: str, since: float) -> None:
        self.since = since
        super().__init__(f"{what} is still being worked out")


def wait_no_longer_than(patience: float) -> None:
    """Let whoever asks here from now on have so much patience in all. [s]"""
    UNTIL.set(monotonic() + patience)


class _Piece(Generic[T]):
    """A piece of work that is done once, by whoever comes first, and what came of it."""

    def __init__(self, work: Callable[[], T]) -> None:
        self.done: Future[T] = Future()
        self.since = monotonic()
        self._work = work
        self._lock = Lock()

    def do(self) -> None:
        """Do it if nobody did, and wait for whoever does it now."""
        with self._lock:
            if self.done.done():
                return
            try:
                self.done.set_result(self._work())
            except BaseException as error:
                self.done.set_exception(error)
            del self._work


class Working:
    """What was worked out, by what it is and what it hangs on; and a thread that works out the rest."""

    def __init__(self) -> None:
        self._known: OrderedDict[tuple[str, str], _Piece[Any]] = OrderedDict()
        self._lock = Lock()
        self._hand = ThreadPoolExecutor(1, initializer=self._begin)
        self._worker: object = None

    def remembered(self, what: str, of: str, work: Callable[[], T], beside: bool = True) -> T:
        """What was worked out already, or is worked out now; so is a refusal.

        Parameters
        ----------
        what, of : str
            Under which it is remembered: what it is, and all that it hangs on.
        work : callable
        beside : bool
            It takes its turn with all other such work; else whoever asks works it out himself.

        Raises
        ------
        StillWorking
            It is not there within the patience of whoever asks.
        """
        key = (what, of)
        with self._lock:
            known = self._known.get(key)
            piece: _Piece[T] = known or _Piece(work)
            self._known[key] = piece
            self._known.move_to_end(key)
            while len(self._known) > REMEMBERED:
                self._known.popitem(last=False)
        if not beside or current_thread() is self._worker:
            piece.do()
        elif known is None:
            self._hand.submit(piece.do)
        until = UNTIL.get()
        if until is not None:
            wait([piece.done], max(0.0, until - monotonic()))
            if not piece.done.done():
                raise StillWorking(what, piece.since)
        try:
            return piece.done.result()
        except Refusal as refusal:
            raise refusal.with_traceback(None) from None
        except BaseException:  # a fault is told to whoever asks first, and is not remembered
            with self._lock:
                if self._known.get(key) is piece:
                    del self._known[key]
            raise

    def alone(self, act: Callable[[], T]) -> T:
        """Do something while nothing is worked out."""
        return act() if current_thread() is self._worker else self._hand.submit(act).result()

    def forget(self) -> None:
        """Let go of all that was worked out."""
        with self._lock:
            self._known = OrderedDict()

    def _begin(self) -> None:
        self._worker = current_thread()
