"""Daily backups: made once a day, kept by their age, and none taken away before the next one is proved."""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from tappetry.services import backups as module
from tappetry.services.backups import Backups, Schedule, keeping
from tappetry.store.database import Database
from tappetry.store.dump import content, load, read_lines
from tappetry.store.jobs import add_job
from tests.databases import Databases
from tests.store.documents import act, document

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


class Clock:
    """A clock that somebody else winds."""

    def __init__(self, moment: datetime = NOON) -> None:
        self.moment = moment

    def __call__(self) -> datetime:
        return self.moment


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def backups(database: Database, tmp_path: Path, clock: Clock) -> Backups:
    """The backups of a database that holds one job."""
    with database.writing() as session:
        add_job(session, document(), act())
    return Backups(database, tmp_path, Schedule(tmp_path / "kept", 3, zone=UTC), clock)


def names(backups: Backups) -> list[str]:
    """All files where backups lie, half ones too."""
    return sorted(each.name for each in backups.folder.glob("*"))


@pytest.mark.slow
def test_one_is_made_each_day_from_its_hour_on(
    backups: Backups, clock: Clock, all_databases: Databases
) -> None:
    backups.keep_up()
    assert names(backups) == ["daily-2026-03-02T120000Z.jsonl.gz"]
    assert backups.made()[0].file.stat().st_mode & 0o777 == 0o600, "its owner alone may read it"
    for later, count in ((14 * HOUR, 1), (15 * HOUR, 2), (DAY + 14 * HOUR, 2), (DAY + 16 * HOUR, 3)):
        clock.moment = NOON + later
        backups.keep_up()
        assert len(names(backups)) == count, later
    (last, *_) = backups.made()
    assert last.made_at == NOON + DAY + 16 * HOUR
    assert last.size == last.file.stat().st_size > 100
    other = all_databases.new("sqlite")
    assert load(other, read_lines(last.file)) == content(backups.database)
    other.close()
    assert backups.failure is None


@pytest.mark.slow
def test_a_server_that_was_off_at_the_hour_makes_it_when_it_runs_again(
    backups: Backups, clock: Clock
) -> None:
    backups.keep_up()
    clock.moment += 9 * DAY
    again = Backups(backups.database, backups.folder, backups.schedule, clock)
    again.keep_up()
    assert [each.made_at for each in again.made()] == [NOON + 9 * DAY, NOON]


@pytest.mark.slow
def test_a_database_that_holds_nothing_needs_none(database: Database, tmp_path: Path, clock: Clock) -> None:
    backups = Backups(database, tmp_path, Schedule(tmp_path / "kept"), clock)
    backups.keep_up()
    assert (names(backups), backups.failure) == ([], None)


@pytest.mark.slow
def test_what_fails_is_told_and_tried_again_and_nothing_is_taken_away(backups: Backups, clock: Clock) -> None:
    backups.schedule = Schedule(backups.folder, 3, 1, 0, 0, UTC)
    backups.keep_up()
    (first,) = names(backups)
    aside = backups.folder.rename(backups.folder.with_name("aside"))
    backups.folder.write_text("a file that stands in the way")
    clock.moment += DAY
    backups.keep_up()
    failure = backups.failure
    assert failure is not None
    assert "daily-2026-03-03T120000Z.jsonl.gz: the file cannot be written: File exists" in failure.said
    assert (failure.at, failure.again_at) == (clock.moment, clock.moment + 15 * timedelta(minutes=1))
    backups.folder.unlink()
    aside.rename(backups.folder)
    clock.moment += timedelta(minutes=14)
    backups.keep_up()
    assert backups.failure == failure
    assert names(backups) == [first]
    clock.moment += timedelta(minutes=1)
    backups.keep_up()
    assert backups.failure is None
    assert names(backups) == ["daily-2026-03-03T121500Z.jsonl.gz"]


@pytest.mark.slow
def test_none_is_taken_away_for_one_that_cannot_be_brought_back(
    backups: Backups, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    backups.schedule = Schedule(backups.folder, 3, 1, 0, 0, UTC)
    backups.keep_up()
    before = names(backups)
    whole = module.lines
    monkeypatch.setattr(module, "lines", lambda database: list(whole(database))[:-1])
    clock.moment += DAY
    backups.keep_up()
    assert backups.failure is not None
    assert "without its last line: it is not whole" in backups.failure.said
    assert names(backups) == before


@pytest.mark.slow
def test_a_database_that_does_not_answer_is_told(tmp_path: Path, clock: Clock) -> None:
    nowhere = Database(f"postgresql://shop@/shop?host={tmp_path}")
    backups = Backups(nowhere, tmp_path, Schedule(), clock)
    backups.keep_up()
    assert backups.failure is not None
    assert backups.failure.said.startswith("The shop's database does not answer: connection")


@pytest.mark.slow
def test_half_files_of_a_program_that_was_killed_are_cleared_after_a_day(
    backups: Backups, clock: Clock
) -> None:
    half = backups.folder / ".daily-2026-03-01T030000Z.jsonl.gz.abc"
    half.mkdir(parents=True)
    (half / "shop.db").write_text("half")
    clock.moment = datetime.now(UTC) + 23 * HOUR
    backups.keep_up()
    assert half.exists()
    clock.moment += 2 * HOUR
    backups.keep_up()
    assert not half.exists()
    assert len(backups.made()) in (1, 2)


@pytest.mark.slow
def test_it_goes_on_beside_the_server(
    backups: Backups, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "LOOK", 0.01)
    with keeping(backups):
        for count in (1, 2):
            ends = time.monotonic() + 20
            while len(backups.made()) < count and time.monotonic() < ends:
                time.sleep(0.01)
            assert len(backups.made()) == count
            clock.moment += DAY


def test_what_is_kept_of_three_years() -> None:
    schedule = Schedule(hour=3, zone=UTC)
    made: set[datetime] = set()
    last = datetime(2028, 12, 31, 3, tzinfo=UTC)
    day = last - 1095 * DAY
    while day <= last:
        made = schedule.kept({*made, day})
        day += DAY
    days = {last - place * DAY for place in range(14)}
    sundays = {last - 7 * place * DAY for place in range(8)}  # the last day is one
    months = {datetime(2028, month, 1, 3, tzinfo=UTC) - DAY for month in range(2, 13)} | {last}
    assert made == days | sundays | months


def test_a_clock_that_runs_wrong_takes_nothing_away() -> None:
    schedule = Schedule(zone=UTC)
    made = {NOON - place * DAY for place in range(14)}
    assert made <= schedule.kept({*made - {NOON - 13 * DAY}, NOON + 5000 * DAY}) | {NOON - 13 * DAY}


@pytest.mark.slow
def test_one_from_the_future_neither_counts_nor_is_taken_away(backups: Backups, clock: Clock) -> None:
    clock.moment = NOON + 5000 * DAY
    backups.keep_up()
    clock.moment = NOON
    backups.keep_up()
    assert [each.made_at for each in backups.made()] == [NOON + 5000 * DAY, NOON]


@pytest.mark.parametrize("hours", [-11, 0, 5])
def test_a_day_begins_where_the_shop_is(hours: int) -> None:
    zone = timezone(hours * HOUR)
    schedule = Schedule(hour=3, zone=zone)
    due = schedule.due_since(NOON)
    assert NOON - DAY < due <= NOON
    assert due.astimezone(zone).hour == 3
    assert schedule.due_since(due) == due
    assert schedule.due_since(due - timedelta(seconds=1)) == due - DAY
