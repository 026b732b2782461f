"""What waits for the first page: begun once it was shown, or after a while, and ended with its block."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager

import pytest

from tappetry.services import afterwards as module
from tappetry.services.afterwards import Afterwards

#: Longer than any of this takes. [s]
LONG = 60.0


class Work:
    """Some work that says when it has begun and what has happened so far."""

    def __init__(self) -> None:
        self.happened: list[str] = []
        self.begun = threading.Event()

    @contextmanager
    def named(self, name: str) -> Iterator[None]:
        self.happened.append(f"{name} begins")
        if name == "last":
            self.begun.set()
        yield
        self.happened.append(f"{name} ends")

    def at_once(self) -> None:
        self.happened.append("at once")

    def first(self) -> AbstractContextManager[None]:
        return self.named("first")

    def last(self) -> AbstractContextManager[None]:
        return self.named("last")


@pytest.fixture
def work() -> Work:
    return Work()


def test_it_begins_after_the_first_page_and_ends_with_the_block(
    work: Work, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "PAUSE", 0.0)
    monkeypatch.setattr(module, "LATEST", LONG)
    with Afterwards(work.at_once, work.first, work.last) as later:
        assert not work.begun.wait(0.05)
        later.shown()
        assert work.begun.wait(LONG)
        assert work.happened == ["at once", "first begins", "last begins"]
    assert work.happened[3:] == ["last ends", "first ends"]


def test_it_begins_although_nobody_asks_for_a_page(work: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "PAUSE", 0.0)
    monkeypatch.setattr(module, "LATEST", 0.01)
    with Afterwards(work.at_once, work.last):
        assert work.begun.wait(LONG)


def test_a_block_that_ends_before_the_first_page_begins_nothing(
    work: Work, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "LATEST", LONG)
    with Afterwards(work.at_once, work.last):
        pass
    assert work.happened == []
