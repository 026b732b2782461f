"""Backups that are made once a day by themselves, and kept by their age."""

from __future__ import annotations

import re
import shutil
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from pathlib import Path

from tappetry.records.problems import TappetryError
from tappetry.services.copies import folder_of, keep_copy
from tappetry.services.problems_file import save_problem
from tappetry.store.database import Database
from tappetry.store.dump import lines
from tappetry.store.rows import copied_tables, hold_something

#: How a backup is named by its moment in UTC.
NAME = "daily-%Y-%m-%dT%H%M%SZ.jsonl.gz"
_NAMED = re.compile(r"daily-\d{4}-\d\d-\d\dT\d{6}Z\.jsonl\.gz")
#: How soon one is tried again that failed.
AGAIN = timedelta(minutes=15)
#: How often it is looked whether one is due. [s]
LOOK = 20.0
#: How long one that is being made may take when the program ends. [s]
LEAVE = 10.0


@dataclass(frozen=True, slots=True)
class Schedule:
    """When backups are made and which are kept: the latest of so many days, weeks and months that have one.

    Attributes
    ----------
    folder : Path or None
        Where they lie; None is the folder ``backups`` beside the database.
    hour : int
        The hour of the day from which the day's backup is due, in the time of ``zone``. [h]
    days, weeks, months : int
        How many of each.
    zone : tzinfo or None
        What a day is; None is the time of this machine.
    """

    folder: Path | None = None
    hour: int = 3
    days: int = 14
    weeks: int = 8
    months: int = 12
    zone: tzinfo | None = None

    def due_since(self, now: datetime) -> datetime:
        """The last moment at which a backup became due."""
        today = now.astimezone(self.zone).date()
        due = self._hour_of(today)
        return due if due <= now else self._hour_of(today - timedelta(days=1))

    def kept(self, moments: Iterable[datetime]) -> set[datetime]:
        """Which of some backups are kept.

        It is counted by days that have a backup, not from today: a clock that runs wrong, or a shop that was
        closed for a year, loses none.
        """
        latest_first = sorted(moments, reverse=True)
        found: set[datetime] = set()
        for count, period in ((self.days, _day), (self.weeks, _week), (self.months, _month)):
            latest: dict[object, datetime] = {}
            for moment in latest_first:
                latest.setdefault(period(moment.astimezone(self.zone).date()), moment)
            found.update(list(latest.values())[:count])
        return found

    def _hour_of(self, day: date) -> datetime:
        return datetime.combine(day, time(self.hour), self.zone).astimezone(UTC)


def _day(day: date) -> object:
    return day


def _week(day: date) -> object:
    return day.isocalendar()[:2]


def _month(day: date) -> object:
    return day.year, day.month


#: The schedule where nobody states another.
DAILY = Schedule()


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was made: its file, when, and how large it is. [byte]"""

    file: Path
    made_at: datetime
    size: int


@dataclass(frozen=True, slots=True)
class Failure:
    """Why the last backup was not made, when that was, and when it is tried again."""

    at: datetime
    said: str
    again_at: datetime


class Backups:
    """The daily backups of one database; the files themselves say which were made.

    Parameters
    ----------
    database : Database
    shop : Path
        The shop's folder.
    schedule : Schedule
    now : callable
        The moment, in UTC.
    """

    def __init__(
        self, database: Database, shop: Path, schedule: Schedule, now: Callable[[], datetime]
    ) -> None:
        self.database = database
        self.schedule = schedule
        self.folder = schedule.folder or folder_of(database, shop)
        self.now = now
        self.failure: Failure | None = None

    def made(self) -> list[Backup]:
        """The backups that are there, the latest first."""
        found: list[Backup] = []
        for file in self.folder.glob("daily-*"):
            with suppress(FileNotFoundError):  # one that is taken away just now
                if _NAMED.fullmatch(file.name):
                    found.append(Backup(file, _moment(file), file.stat().st_size))
        return sorted(found, key=lambda each: each.made_at, reverse=True)

    def is_due(self) -> bool:
        """Whether the day's backup is still to be made; a database that holds nothing needs none."""
        now = self.now()
        since = self.schedule.due_since(now)
        if any(since <= each.made_at <= now for each in self.made()):
            return False
        with self.database.reading() as session:
            return hold_something(session, copied_tables(session))

    def keep_up(self) -> None:
        """Make the backup that is due, then take away those that are no longer kept.

        What goes wrong is remembered, to be told, and tried again after a while.
        """
        if self.failure is not None and self.failure.at <= self.now() < self.failure.again_at:
            return
        try:
            if self.is_due():
                file = self.folder / self.now().strftime(NAME)
                keep_copy(lambda: lines(self.database), file, packed=True)
            self._clear()
            self.failure = None
        except TappetryError as error:
            self._failed(str(error))
        except OSError as error:
            self._failed(f"{error.filename or self.folder}: {error.strerror or error}")
        except Exception as error:  # the next day's backup must not be lost by a fault of ours
            self._failed(f"a fault of the program, saved in {save_problem(error, ['daily backup'])}")

    def _clear(self) -> None:
        """Take away what is no longer kept, and what a program that was killed has left half done."""
        now = self.now()
        past = [each for each in self.made() if each.made_at <= now]
        kept = self.schedule.kept(each.made_at for each in past)
        for each in past:
            if each.made_at not in kept:
                each.file.unlink(missing_ok=True)
        for half in self.folder.glob(".*.jsonl.gz.*"):
            if now.timestamp() - half.stat().st_mtime > timedelta(days=1).total_seconds():
                shutil.rmtree(half)

    def _failed(self, said: str) -> None:
        now = self.now()
        self.failure = Failure(now, said, now + AGAIN)


def _moment(file: Path) -> datetime:
    return datetime.strptime(file.name, NAME).replace(tzinfo=UTC)


@contextmanager
def keeping(backups: Backups) -> Iterator[None]:
    """Make the backups that fall due, beside the server, for as long as the block lasts.

    It is looked at once whether one is due; one that is being made at the end may come to its own, if that
    is soon.
    """
    over = threading.Event()

    def keep_up() -> None:
        while not over.is_set():
            backups.keep_up()
            over.wait(LOOK)

    thread = threading.Thread(target=keep_up, daemon=True)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join(LEAVE)
