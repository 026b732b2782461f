"""Long work in the shop's database: asked for, watched, stopped; what it does is stated by its kind."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from tappetry.services.shop import Shop
from tappetry.store import tasks
from tappetry.store.database import Database
from tappetry.store.models import Task
from tappetry.store.tasks import DONE, FAILED, RUNNING, STOPPED, WAITING, Wanted

__all__ = ["DONE", "FAILED", "RUNNING", "STOPPED", "WAITING", "Queue", "Standing", "Task", "Wanted", "key_of"]

#: How many tasks a list shows.
MOST = 20

Report = Callable[[float, str], None]
"""Says how far the work is, as a share and in words; ends it where somebody wants it stopped."""

Work = Callable[[Shop, Mapping[str, Any], Report], dict[str, Any]]
"""Does one task and returns what came of it, as plain data."""


@dataclass(frozen=True, slots=True)
class Standing:
    """How far several tasks are that belong together.

    Attributes
    ----------
    share : float
        Of all the work. [1]
    unfinished, done : int
    said : tuple of str
        One sentence for each that runs or waits.
    failed : tuple of str
        What went wrong, one sentence for each.
    stopped : bool
        Somebody stopped one of them.
    stopping : bool
        Somebody wants all stopped that runs or waits, and it has not ended yet.
    """

    share: float
    unfinished: int
    done: int
    said: tuple[str, ...]
    failed: tuple[str, ...]
    stopped: bool
    stopping: bool


def key_of(kind: str, content: object) -> str:
    """The mark of the content of some work; equal content has an equal mark."""
    text = json.dumps([kind, content], sort_keys=True, ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def standing(found: Sequence[Task]) -> Standing:
    """How far some tasks are together."""
    open_ = [task for task in found if task.state in (WAITING, RUNNING)]
    return Standing(
        share=sum(task.share for task in found) / len(found) if found else 0.0,
        unfinished=len(open_),
        done=sum(task.state == DONE for task in found),
        said=tuple(f"{task.title}: {_said(task)}" for task in open_),
        failed=tuple(f"{task.title}: {task.message}" for task in found if task.state == FAILED),
        stopped=any(task.state == STOPPED for task in found),
        stopping=bool(open_) and all(task.to_stop for task in open_),
    )


def _said(task: Task) -> str:
    if task.to_stop:
        return "is being stopped"
    return "waits for its turn" if task.state == WAITING else task.message


class Queue:
    """The long work of one shop's database; may be used by several people and workers at once."""

    def __init__(self, database: Database, now: Callable[[], datetime]) -> None:
        self.database = database
        self.now = now

    def ask(self, wanted: Iterable[Wanted], who: str) -> None:
        """Ask for work, in one act; equal work that was asked for before is joined."""
        with self.database.writing() as session:
            for each in wanted:
                tasks.ask(session, each, who, self.now())

    def ask_again(self, task: Task, who: str) -> None:
        """Begin a task anew that was stopped or went wrong."""
        self.ask([Wanted(task.key, task.kind, task.title, task.task)], who)

    def stop(self, keys: Iterable[str]) -> None:
        """Stop work that is not done yet."""
        with self.database.writing() as session:
            tasks.stop(session, keys, self.now())

    def found(self, keys: Sequence[str]) -> list[Task]:
        """The tasks that were ever asked for, in the order of their keys."""
        with self.database.reading() as session:
            by_key = tasks.tasks_of(session, keys)
        return [by_key[key] for key in keys if key in by_key]

    def latest(self) -> list[Task]:
        """The tasks that were asked for last."""
        with self.database.reading() as session:
            return tasks.latest(session, MOST)

    def latest_of(self, kind: str) -> list[Task]:
        """The tasks of a kind that were asked for last."""
        with self.database.reading() as session:
            return tasks.latest(session, MOST, kind)
