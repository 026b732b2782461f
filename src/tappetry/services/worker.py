"""A worker: takes one task at a time out of the database, does it, and says how far it is."""

from __future__ import annotations

import secrets
import threading
import time
from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from typing import Any

from tappetry.records.problems import OurFault, TappetryError
from tappetry.services.problems_file import save_problem
from tappetry.services.queue import Work
from tappetry.services.shop import Shop
from tappetry.services.text_in_effect import shop_in_effect
from tappetry.store import tasks
from tappetry.store.database import Database
from tappetry.store.models import Task
from tappetry.store.problems import StoreUnavailable

#: How long a worker with nothing to do waits before it looks again. [s]
REST = 1.0
#: How often a worker says how far it is, and hears whether it is to stop. [s]
BEAT = 1.0
#: How often the end of a task is tried to be kept while the database does not answer.
MOST_ENDINGS = 20


class _Stopped(Exception):
    """The work is to end here: somebody wants it so, or the worker has to leave."""


def utc_now() -> datetime:
    """The moment, in UTC."""
    return datetime.now(UTC)


class Worker:
    """Does the work of one database for one shop, one task at a time.

    Parameters
    ----------
    shop : Shop
    database : Database
    works : mapping of str to callable
        What is done for each kind of task.
    leaving : callable
        Whether the worker has to leave: it hands its task back.
    """

    def __init__(
        self,
        shop: Shop,
        database: Database,
        works: Mapping[str, Work],
        leaving: Callable[[], bool] = lambda: False,
    ) -> None:
        self.shop = shop
        self.database = database
        self.works = works
        self.leaving = leaving
        self.name = secrets.token_hex(8)

    def work(self) -> None:
        """Work until it is time to leave."""
        while not self.leaving():
            try:
                did = self.work_once()
            except StoreUnavailable:
                did = False
            if not did:
                time.sleep(REST)

    def work_once(self) -> bool:
        """Do one task, if there is one; whether there was."""
        with self.database.reading() as session:
            if not tasks.is_work(session, utc_now()):
                return False
        with self.database.writing() as session:
            task = tasks.take(session, self.name, utc_now())
        if task is not None and task.state == tasks.RUNNING:
            self._do(task)
        return task is not None

    def _do(self, task: Task) -> None:
        beat = _Beat(self, task.id)
        beat.start()
        result, message = None, ""
        try:
            result = self.works[task.kind](self._shop(), task.task, beat.report)
        except _Stopped:
            message = "stopped"
        except TappetryError as error:
            message = _fault(error, task) if isinstance(error, OurFault) else str(error)
        except Exception as error:
            message = _fault(error, task)
        finally:
            beat.end()
        if result is None and self.leaving():
            self._keep(lambda session: tasks.hand_back(session, task.id, self.name))
        else:
            self._keep(lambda session: tasks.end(session, task.id, self.name, utc_now(), result, message))

    def _shop(self) -> Shop:
        """The shop with the text that is in effect."""
        self.shop = shop_in_effect(self.shop, self.database)
        return self.shop

    def _keep(self, act: Callable[[Any], object]) -> None:
        """Keep how a task ended; if the database does not answer for long, its hold runs out."""
        for _ in range(MOST_ENDINGS):
            try:
                with self.database.writing() as session:
                    act(session)
                return
            except StoreUnavailable:
                time.sleep(BEAT)


class _Beat(threading.Thread):
    """Renews the hold on a task beside the work, and hears whether it is to stop."""

    def __init__(self, worker: Worker, task: int) -> None:
        super().__init__(daemon=True)
        self.worker = worker
        self.task = task
        self.far: tuple[float, str] = (0.0, "begins")
        self.to_stop = False
        self.over = threading.Event()

    def report(self, share: float, message: str) -> None:
        """Take note how far the work is."""
        self.far = (min(max(share, 0.0), 1.0), message)
        if self.to_stop:
            raise _Stopped

    def run(self) -> None:
        """Tell the database until the work is over."""
        while not self.over.wait(BEAT):
            try:
                with self.worker.database.writing() as session:
                    goes_on = tasks.renew(session, self.task, self.worker.name, utc_now(), *self.far)
            except StoreUnavailable:
                continue
            self.to_stop = self.to_stop or not goes_on or self.worker.leaving()

    def end(self) -> None:
        """The work is over."""
        self.over.set()
        self.join()


def _fault(error: BaseException, task: Task) -> str:
    """A fault of ours, saved to a file that is named."""
    file = save_problem(error, [f"task {task.kind}", task.title])
    return f"This is a fault of the program. It is saved in {file}; send that file to the developers."
