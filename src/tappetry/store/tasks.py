"""Keeps long work: asked for, taken by one worker at a time, told how far it is, ended, or taken again.

A task is held for a while, and the hold is renewed as long as its worker lives. Where a worker is gone the
hold runs out, and the next one takes the task from the beginning.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import and_, or_, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from tappetry.store.models import Task

WAITING, RUNNING, DONE, FAILED, STOPPED = "waiting", "running", "done", "failed", "stopped"
#: How long a task stays with a worker that is not heard of.
HOLD = timedelta(seconds=20)
#: So often a task is taken whose workers are gone; then something in it is at fault.
MOST_TRIES = 3
GONE = (
    f"The program ended {MOST_TRIES} times in the middle of this work, without a word. "
    "See that the machine has memory enough, then ask for it again."
)


@dataclass(frozen=True, slots=True)
class Wanted:
    """Work to be done: of which kind, with what, by what mark equal work is known, and in words."""

    key: str
    kind: str
    title: str
    task: Mapping[str, Any]


def ask(session: Session, wanted: Wanted, who: str, at: datetime) -> Task:
    """Ask for work; equal work that is there is joined, what failed or was stopped begins anew."""
    found = _by_key(session, wanted.key)
    if found is None:
        found = Task(key=wanted.key, kind=wanted.kind, title=wanted.title, task=dict(wanted.task))
        _begin_anew(found, who, at)
        try:
            with session.begin_nested():
                session.add(found)
        except IntegrityError:  # somebody else has asked for it at the same moment
            joined = _by_key(session, wanted.key)
            assert joined is not None
            return joined
    elif found.state in (FAILED, STOPPED) or (found.state == RUNNING and found.to_stop):
        _begin_anew(found, who, at)
    session.flush()
    return found


def take(session: Session, worker: str, at: datetime) -> Task | None:
    """Take the task that has waited longest, or one whose worker is gone; None where there is none."""
    free = or_(Task.state == WAITING, and_(Task.state == RUNNING, Task.held_until < at))
    task = session.scalar(
        select(Task).where(free).order_by(Task.id).limit(1).with_for_update(skip_locked=True)
    )
    if task is None:
        return None
    if task.to_stop:
        _end(task, STOPPED, at)
    elif task.tries >= MOST_TRIES:
        _end(task, FAILED, at, message=GONE)
    else:
        task.state, task.worker, task.held_until = RUNNING, worker, at + HOLD
        task.tries, task.share, task.message = task.tries + 1, 0.0, "begins"
        task.begun_at = at
    session.flush()
    return task


def is_work(session: Session, at: datetime) -> bool:
    """Whether a worker that is free would find something; asks without holding anybody up."""
    free = or_(Task.state == WAITING, and_(Task.state == RUNNING, Task.held_until < at))
    return session.scalar(select(Task.id).where(free).limit(1)) is not None


def renew(session: Session, task: int, worker: str, at: datetime, share: float, message: str) -> bool:
    """Say how far a task is and hold it further; whether its worker is to go on."""
    held = _held(session, task, worker)
    if held is None or held.to_stop:
        return False
    held.share, held.message, held.held_until = share, message, at + HOLD
    session.flush()
    return True


def end(
    session: Session,
    task: int,
    worker: str,
    at: datetime,
    result: Mapping[str, Any] | None,
    message: str = "",
) -> bool:
    """End a task with its result, or without one with what went wrong; whether it was still this worker's.

    Work that somebody wished to stop is stopped, unless it is done by now.
    """
    held = _held(session, task, worker)
    if held is None:
        return False
    if result is not None:
        held.result, held.share = dict(result), 1.0
        _end(held, DONE, at)
    elif held.to_stop:
        _end(held, STOPPED, at)
    else:
        _end(held, FAILED, at, message)
    session.flush()
    return True


def hand_back(session: Session, task: int, worker: str) -> None:
    """Let the next worker begin a task anew, at once, because this one has to leave."""
    held = _held(session, task, worker)
    if held is not None:
        held.state, held.worker, held.held_until = WAITING, "", None
        held.tries -= 1
        session.flush()


def stop(session: Session, keys: Iterable[str], at: datetime) -> None:
    """Stop work: what waits at once, what runs as soon as its worker hears of it."""
    wanted = select(Task).where(Task.key.in_(list(keys)), Task.state.in_((WAITING, RUNNING)))
    for task in session.scalars(wanted.order_by(Task.id).with_for_update()):
        task.to_stop = True
        if task.state == WAITING:
            _end(task, STOPPED, at)
    session.flush()


def tasks_of(session: Session, keys: Iterable[str]) -> dict[str, Task]:
    """The tasks that were ever asked for, by their keys."""
    return {task.key: task for task in session.scalars(select(Task).where(Task.key.in_(list(keys))))}


def latest(session: Session, most: int, kind: str = "") -> list[Task]:
    """The tasks that were asked for last, of any kind or of one."""
    every = select(Task) if not kind else select(Task).where(Task.kind == kind)
    return list(session.scalars(every.order_by(Task.asked_at.desc(), Task.id.desc()).limit(most)))


def _by_key(session: Session, key: str) -> Task | None:
    return session.scalar(select(Task).where(Task.key == key).with_for_update())


def _held(session: Session, task: int, worker: str) -> Task | None:
    """A task that is still in the hands of a worker."""
    mine = select(Task).where(Task.id == task, Task.worker == worker, Task.state == RUNNING)
    return session.scalar(mine.with_for_update())


def _begin_anew(task: Task, who: str, at: datetime) -> None:
    task.who, task.asked_at = who, at
    task.state, task.share, task.message, task.result = WAITING, 0.0, "", None
    task.begun_at, task.ended_at, task.held_until, task.worker = None, None, None, ""
    task.tries, task.to_stop = 0, False


def _end(task: Task, state: str, at: datetime, message: str = "") -> None:
    task.state, task.message, task.ended_at = state, message, at
    task.held_until, task.worker = None, ""
