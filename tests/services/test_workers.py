"""Workers on either database: done, told, stopped, faults in words, and killed in the middle of the work."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from tappetry.services import worker as module
from tappetry.services.queue import DONE, FAILED, RUNNING, STOPPED, Queue, Task, Wanted, key_of, standing
from tappetry.services.shop import Shop
from tappetry.services.worker import Worker, utc_now
from tappetry.services.workers import Workers
from tappetry.store import tasks
from tappetry.store.database import Database
from tappetry.store.problems import StoreUnavailable
from tests.services.slow_work import WORKS

pytestmark = pytest.mark.slow

SHOP = Shop(Path("nowhere"))


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(module, "BEAT", 0.02)
    monkeypatch.setattr(module, "REST", 0.02)
    monkeypatch.setenv("TAPPETRY_HOME", str(tmp_path))


def wanted(kind: str = "count", **task: object) -> Wanted:
    return Wanted(key_of(kind, task), kind, f"{kind} {task.get('to', '')}".strip(), task)


def asked(database: Database, *wishes: Wanted) -> Queue:
    queue = Queue(database, utc_now)
    queue.ask(wishes, "Wren")
    return queue


def until(what: Callable[[], bool], most: float = 60.0) -> None:
    end = time.monotonic() + most
    while not what():
        assert time.monotonic() < end, "it takes too long"
        time.sleep(0.02)


def state(queue: Queue, wish: Wanted) -> Task:
    (found,) = queue.found([wish.key])
    return found


def test_tasks_are_done_one_after_the_other(database: Database) -> None:
    wishes = [wanted(to=3), wanted(to=5)]
    queue = asked(database, *wishes)
    assert standing(queue.found([each.key for each in wishes])).said == (
        "count 3: waits for its turn",
        "count 5: waits for its turn",
    )
    worker = Worker(SHOP, database, WORKS)
    assert worker.work_once()
    assert standing(queue.found([each.key for each in wishes])).share == pytest.approx(0.5)
    assert worker.work_once()
    assert not worker.work_once()
    found = standing(queue.found([each.key for each in wishes]))
    assert (found.done, found.unfinished, found.share, found.failed) == (2, 0, 1.0, ())
    assert state(queue, wishes[1]).result == {"counted": 5, "by": os.getpid()}


def test_what_cannot_be_done_is_told_in_words(database: Database) -> None:
    wish = wanted("refuse")
    queue = asked(database, wish)
    Worker(SHOP, database, WORKS).work_once()
    found = state(queue, wish)
    assert found.state == FAILED
    assert "Nobody can count so far." in found.message
    assert standing([found]).failed == (f"refuse: {found.message}",)


def test_a_fault_of_ours_is_saved_and_told(database: Database, tmp_path: Path) -> None:
    wish = wanted("break")
    queue = asked(database, wish)
    Worker(SHOP, database, WORKS).work_once()
    (file,) = (tmp_path / "problems").iterdir()
    found = state(queue, wish)
    assert (found.state, found.message) == (
        FAILED,
        f"This is a fault of the program. It is saved in {file}; send that file to the developers.",
    )
    assert "ZeroDivisionError" in file.read_text(encoding="utf-8")


def test_work_is_watched_and_stopped(database: Database) -> None:
    wish = wanted(to=10_000, pause=0.01)
    queue = asked(database, wish)
    working = threading.Thread(target=Worker(SHOP, database, WORKS).work_once)
    working.start()
    until(lambda: state(queue, wish).share > 0.0)
    found = state(queue, wish)
    assert found.state == RUNNING
    assert found.message.startswith("at ")
    queue.stop([wish.key])
    assert standing(queue.found([wish.key])).said == (f"{wish.title}: is being stopped",)
    working.join(20)
    assert not working.is_alive()
    assert state(queue, wish).state == STOPPED
    assert standing(queue.found([wish.key])).stopped


def test_a_worker_that_leaves_hands_its_work_back(database: Database) -> None:
    wish = wanted(to=10_000, pause=0.01)
    queue = asked(database, wish)
    leaving = threading.Event()
    working = threading.Thread(target=Worker(SHOP, database, WORKS, leaving.is_set).work)
    working.start()
    until(lambda: state(queue, wish).share > 0.0)
    leaving.set()
    working.join(20)
    assert not working.is_alive()
    assert (state(queue, wish).state, state(queue, wish).tries) == (tasks.WAITING, 0)


def test_a_database_that_does_not_answer_at_the_end_is_waited_for(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    wish = wanted(to=1)
    queue = asked(database, wish)
    ends = tasks.end
    failures = iter([True, True])

    def end(*words: object) -> bool:
        if next(failures, False):
            raise StoreUnavailable("the disk is full")
        return ends(*words)  # type: ignore[arg-type]

    monkeypatch.setattr(tasks, "end", end)
    Worker(SHOP, database, WORKS).work_once()
    assert state(queue, wish).state == DONE


def test_a_worker_killed_midway_loses_nothing(database: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    """The process is killed, another is started in its place, and the work is taken again from its hold."""
    wish = wanted(to=40, pause=0.05)
    queue = asked(database, wish)
    url = database.url.render_as_string(hide_password=False)
    with Workers(SHOP, url, WORKS, 1) as workers:
        until(lambda: state(queue, wish).share > 0.0)
        first = workers.processes[0].pid
        assert first is not None
        os.kill(first, signal.SIGKILL)
        with database.writing() as session:  # as if its hold had run out by now
            task = tasks.tasks_of(session, [wish.key])[wish.key]
            assert task.held_until is not None
            task.held_until -= tasks.HOLD + timedelta(seconds=1)
        until(lambda: state(queue, wish).state == DONE)
    found = state(queue, wish)
    assert found.result is not None
    assert (found.tries, found.result["counted"]) == (2, 40)
    assert found.result["by"] != first
    assert not any(process.is_alive() for process in workers.processes)


def test_work_that_brings_its_worker_down_is_tried_again(database: Database, tmp_path: Path) -> None:
    wish = wanted("die", mark=str(tmp_path / "mark"))
    queue = asked(database, wish)
    url = database.url.render_as_string(hide_password=False)
    with Workers(SHOP, url, WORKS, 1):
        until((tmp_path / "mark").exists)
        with database.writing() as session:
            tasks.tasks_of(session, [wish.key])[wish.key].held_until = utc_now()
        until(lambda: state(queue, wish).state == DONE)
    assert state(queue, wish).tries == 2


def test_workers_that_are_closed_hand_back_what_they_do(database: Database) -> None:
    wish = wanted(to=10_000, pause=0.01)
    queue = asked(database, wish)
    with Workers(SHOP, database.url.render_as_string(hide_password=False), WORKS, 2):
        until(lambda: state(queue, wish).share > 0.0)
    assert state(queue, wish).state == tasks.WAITING


def test_equal_content_has_an_equal_mark() -> None:
    assert key_of("count", {"a": 1, "b": (2, 3)}) == key_of("count", {"b": [2, 3], "a": 1})
    assert key_of("count", {"a": 1}) != key_of("count", {"a": 2})
    assert key_of("count", {"a": 1}) != key_of("other", {"a": 1})
