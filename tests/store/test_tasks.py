"""Long work in the store: taken by one at a time, told, stopped, and taken again when a worker is gone."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tappetry.store import tasks
from tappetry.store.database import Database
from tappetry.store.tasks import DONE, FAILED, GONE, HOLD, MOST_TRIES, RUNNING, STOPPED, WAITING, Wanted
from tests.store.documents import NOON

pytestmark = pytest.mark.slow

LATER = NOON + HOLD + timedelta(seconds=1)


def wanted(key: str = "a" * 64) -> Wanted:
    return Wanted(key, "count", "counting to three", {"to": 3})


def asked(database: Database, *keys: str) -> None:
    with database.writing() as session:
        for key in keys or ("a" * 64,):
            tasks.ask(session, wanted(key), "Wren", NOON)


def test_a_task_goes_from_hand_to_hand_to_its_result(database: Database) -> None:
    asked(database)
    with database.writing() as session:
        task = tasks.take(session, "one", NOON)
        assert task is not None
        assert (task.state, task.tries, task.task, task.who) == (RUNNING, 1, {"to": 3}, "Wren")
        assert tasks.take(session, "two", NOON) is None, "it is in somebody's hands"
    with database.writing() as session:
        assert tasks.renew(session, task.id, "one", LATER, 0.5, "at two")
        assert not tasks.renew(session, task.id, "two", LATER, 0.9, "at three")
    with database.reading() as session:
        assert not tasks.is_work(session, LATER)
        found = tasks.tasks_of(session, ["a" * 64])["a" * 64]
        assert (found.share, found.message, found.held_until) == (0.5, "at two", LATER + HOLD)
    with database.writing() as session:
        assert tasks.end(session, task.id, "one", LATER, {"counted": [1, 2, 3]})
        assert not tasks.end(session, task.id, "one", LATER, None, "again")
    with database.reading() as session:
        (found,) = tasks.latest(session, 5)
        assert (found.state, found.share, found.result) == (DONE, 1.0, {"counted": [1, 2, 3]})
        assert (found.worker, found.held_until, found.ended_at) == ("", None, LATER)


def test_equal_work_is_done_once(database: Database) -> None:
    asked(database, "a" * 64, "a" * 64, "b" * 64)
    with database.reading() as session:
        assert len(tasks.latest(session, 5)) == 2
    with database.writing() as session:
        task = tasks.take(session, "one", NOON)
        assert task is not None
        tasks.end(session, task.id, "one", NOON, {"counted": []})
    asked(database)
    with database.reading() as session:
        found = tasks.tasks_of(session, ["a" * 64])["a" * 64]
        assert (found.state, found.result) == (DONE, {"counted": []})


def test_the_work_of_a_worker_that_is_gone_is_taken_again(database: Database) -> None:
    asked(database)
    with database.writing() as session:
        first = tasks.take(session, "one", NOON)
        assert first is not None
    with database.writing() as session:
        assert tasks.is_work(session, LATER)
        second = tasks.take(session, "two", LATER)
        assert second is not None
        assert (second.id, second.worker, second.tries, second.share) == (first.id, "two", 2, 0.0)
    with database.writing() as session:
        assert not tasks.renew(session, first.id, "one", LATER, 0.9, "still here")
        assert not tasks.end(session, first.id, "one", LATER, {"counted": [9]})
    with database.reading() as session:
        assert tasks.latest(session, 1)[0].state == RUNNING


def test_work_that_ends_its_workers_is_given_up(database: Database) -> None:
    asked(database)
    at = NOON
    for tried in range(MOST_TRIES):
        with database.writing() as session:
            task = tasks.take(session, f"worker {tried}", at)
            assert task is not None
            assert task.state == RUNNING
        at += HOLD + timedelta(seconds=1)
    with database.writing() as session:
        task = tasks.take(session, "last", at)
        assert task is not None
        assert (task.state, task.message) == (FAILED, GONE)
        assert not tasks.is_work(session, at + HOLD * 2)
    asked(database)
    with database.reading() as session:
        assert tasks.latest(session, 1)[0].state == WAITING, "asked for again, it begins anew"


def test_work_is_stopped_before_and_while_it_is_done(database: Database) -> None:
    asked(database, "a" * 64, "b" * 64)
    with database.writing() as session:
        task = tasks.take(session, "one", NOON)
        assert task is not None
        tasks.stop(session, ["a" * 64, "b" * 64], NOON)
    with database.writing() as session:
        assert {each.key[0]: each.state for each in tasks.latest(session, 5)} == {"a": RUNNING, "b": STOPPED}
        assert not tasks.renew(session, task.id, "one", NOON, 0.5, "at two")
        assert tasks.end(session, task.id, "one", NOON, None, "stopped")
        assert {each.state for each in tasks.latest(session, 5)} == {STOPPED}
        assert tasks.take(session, "one", NOON) is None


def test_stopped_work_of_a_worker_that_is_gone_stays_stopped(database: Database) -> None:
    asked(database)
    with database.writing() as session:
        tasks.take(session, "one", NOON)
        tasks.stop(session, ["a" * 64], NOON)
    with database.writing() as session:
        task = tasks.take(session, "two", LATER)
        assert task is not None
        assert task.state == STOPPED


def test_work_asked_for_again_while_it_is_being_stopped_begins_anew(database: Database) -> None:
    asked(database)
    with database.writing() as session:
        task = tasks.take(session, "one", NOON)
        assert task is not None
        tasks.stop(session, ["a" * 64], NOON)
    asked(database)
    with database.writing() as session:
        assert not tasks.renew(session, task.id, "one", NOON, 0.5, "at two")
        assert not tasks.end(session, task.id, "one", NOON, {"counted": [1]})
        again = tasks.take(session, "two", NOON)
        assert again is not None
        assert (again.state, again.worker, again.tries) == (RUNNING, "two", 1)


def test_a_worker_that_has_to_leave_hands_its_task_back(database: Database) -> None:
    asked(database)
    with database.writing() as session:
        task = tasks.take(session, "one", NOON)
        assert task is not None
        tasks.hand_back(session, task.id, "one")
    with database.writing() as session:
        again = tasks.take(session, "two", NOON)
        assert again is not None
        assert (again.worker, again.tries) == ("two", 1)
