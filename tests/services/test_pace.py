"""What is there to stay is left out of the search for garbage, until a new text makes garbage of it."""

from __future__ import annotations

import gc
import sys
import weakref
from collections.abc import Iterator

import pytest

from tappetry.services import pace
from tappetry.services.pace import keep_pace, look_again


class Holder:
    """Something that holds itself, as only a search for garbage finds."""

    def __init__(self) -> None:
        self.itself = self


@pytest.fixture(autouse=True)
def _as_before() -> Iterator[None]:
    pause, threshold, callbacks = sys.getswitchinterval(), gc.get_threshold(), list(gc.callbacks)
    yield
    sys.setswitchinterval(pause)
    gc.set_threshold(*threshold)
    gc.callbacks[:] = callbacks
    gc.freeze()


def test_what_outlived_a_search_is_left_out_of_the_next() -> None:
    keep_pace()
    holder = Holder()
    gc.collect()
    assert not any(each is holder for each in gc.get_objects())
    left = weakref.ref(holder)
    del holder
    gc.collect()
    assert left() is not None


def test_what_did_not_outlive_it_is_gone() -> None:
    keep_pace()
    left = weakref.ref(Holder())
    assert left() is not None
    gc.collect()
    assert left() is None


def test_a_new_text_lets_it_go() -> None:
    keep_pace()
    holder = Holder()
    gc.collect()
    left = weakref.ref(holder)
    del holder
    look_again()
    gc.collect()
    assert left() is None


def test_one_search_in_many_goes_through_all(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pace, "THOROUGH", 3)
    keep_pace()
    holder = Holder()
    gc.collect()
    left = weakref.ref(holder)
    del holder
    gc.collect()
    assert left() is not None
    gc.collect()
    gc.collect()
    assert left() is None


def test_where_no_pace_is_kept_nothing_changes() -> None:
    gc.freeze()
    aside = gc.get_freeze_count()
    look_again()
    assert gc.get_freeze_count() == aside
