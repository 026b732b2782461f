"""What is worked out beside those who ask: once, one at a time, remembered; nobody waits for too long."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from time import monotonic
from typing import Any

import pytest

from tappetry.records.problems import Refusal
from tappetry.services.working import REMEMBERED, StillWorking, Working, wait_no_longer_than

LONG = 60.0


def with_patience(patience: float, act: Callable[[], Any]) -> Any:
    """What comes of an act of somebody with so much patience. [s]"""

    def acting() -> Any:
        wait_no_longer_than(patience)
        return act()

    return copy_context().run(acting)


def test_work_is_done_once_however_many_ask_at_once() -> None:
    working, done = Working(), []
    meeting = threading.Barrier(8)

    def ask(_: int) -> int:
        meeting.wait(LONG)
        return working.remembered("kit", "a job", lambda: done.append(1) or len(done))

    with ThreadPoolExecutor(8) as people:
        assert list(people.map(ask, range(8))) == [1] * 8
    assert done == [1]


def test_no_two_pieces_of_work_are_done_at_once() -> None:
    working, at_work, most = Working(), [], []

    def work() -> None:
        at_work.append(1)
        most.append(len(at_work))
        threading.Event().wait(0.01)
        at_work.pop()

    with ThreadPoolExecutor(8) as people:
        list(people.map(lambda each: working.remembered("kit", str(each), work), range(8)))
        people.submit(working.alone, work).result()
    assert most == [1] * 9


def test_what_is_remembered_waits_for_nobody() -> None:
    working, free = Working(), threading.Event()
    assert working.remembered("kit", "one", lambda: 1) == 1
    with ThreadPoolExecutor(1) as other:
        waiting = other.submit(working.remembered, "kit", "another", lambda: free.wait(LONG))
        assert working.remembered("kit", "one", lambda: 2) == 1
        assert working.remembered("engine", "another", lambda: 3, beside=False) == 3
        assert not waiting.done()
        free.set()
        assert waiting.result() is True


def test_whoever_is_not_patient_is_told_and_finds_it_later() -> None:
    working, free = Working(), threading.Event()
    began = monotonic()
    for _ in range(2):
        with pytest.raises(StillWorking) as told:
            with_patience(0.01, lambda: working.remembered("kit", "a job", lambda: free.wait(LONG)))
        assert str(told.value) == "kit is still being worked out"
        assert began <= told.value.since <= monotonic()
    free.set()
    assert working.remembered("kit", "a job", lambda: False) is True


def test_patience_is_for_all_that_is_asked_for_together() -> None:
    working = Working()

    def many() -> None:
        for each in range(20):
            working.remembered("kit", str(each), lambda: threading.Event().wait(0.02))

    with pytest.raises(StillWorking):
        with_patience(0.1, many)
    with_patience(LONG, many)


def test_work_may_ask_for_other_work_even_if_that_waits_for_its_turn() -> None:
    working, begun, asked = Working(), threading.Event(), threading.Event()

    def outer() -> int:
        begun.set()
        assert asked.wait(LONG)
        return 1 + working.remembered("inner", "a job", lambda: 1)

    with ThreadPoolExecutor(1) as other:
        waiting = other.submit(working.remembered, "outer", "a job", outer)
        assert begun.wait(LONG)
        with pytest.raises(StillWorking):
            with_patience(0.0, lambda: working.remembered("inner", "a job", lambda: 1))
        asked.set()
        assert waiting.result(LONG) == 2


def test_a_refusal_is_remembered_and_a_fault_is_told_once() -> None:
    working, tries = Working(), []

    def refused() -> None:
        tries.append(1)
        raise Refusal("There is no kit.", [], [])

    def broken() -> None:
        tries.append(1)
        raise ZeroDivisionError

    for _ in range(2):
        with pytest.raises(Refusal, match=r"^There is no kit\.$"):
            working.remembered("kit", "a job", refused)
    assert len(tries) == 1
    for _ in range(2):
        with pytest.raises(ZeroDivisionError):
            working.remembered("front", "a job", broken)
    assert len(tries) == 3


def test_what_was_asked_for_longest_ago_is_forgotten_first() -> None:
    working = Working()
    for each in range(REMEMBERED):
        working.remembered("kit", str(each), lambda each=each: each)
    working.remembered("kit", "0", lambda: -1)
    working.remembered("kit", "one more", lambda: -1)
    assert working.remembered("kit", "0", lambda: -2) == 0
    assert working.remembered("kit", "1", lambda: -2) == -2
    working.forget()
    assert working.remembered("kit", "0", lambda: -3) == -3
