"""Jobs in the store: every version stays, every act is told, and nobody's change is lost."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime

import pytest
from sqlalchemy import select

from tappetry.quantities.calendar import moment
from tappetry.store.database import Database
from tappetry.store.fields import Field, differing
from tappetry.store.jobs import add_job, change_job, find_jobs, history, job_now, row_of, trail, version_of
from tappetry.store.models import FACTS, PLAN, SHEET, Entry, Version
from tappetry.store.problems import ChangedMeanwhile, NotKept
from tests.store.documents import NOON, act, document

pytestmark = pytest.mark.slow


def add(database: Database, number: str = "J-1") -> None:
    with database.writing() as session:
        add_job(session, document(number), act("opened the job"))


def test_a_job_comes_back_as_it_was_stated(database: Database) -> None:
    add(database)
    with database.reading() as session:
        job = job_now(session, "J-1")
    assert job.document == document()
    assert list(job.document["facts"]) == ["vin", "mileage"], "the order of facts says which is nearest"
    assert (job.number, job.state) == ("J-1", "open")
    assert job.versions == {SHEET: 1, FACTS: 1, PLAN: 1}


def test_a_change_makes_a_new_version_of_that_part_alone(database: Database) -> None:
    add(database)
    with database.writing() as session:
        changed = change_job(session, document(phaser="remove"), {PLAN: 1}, act(after=1))
    assert changed.versions == {SHEET: 1, FACTS: 1, PLAN: 2}
    with database.reading() as session:
        row = row_of(session, "J-1")
        assert job_now(session, "J-1").document["plan"] == {"cam": "B2", "phaser": "remove"}
        assert version_of(session, row, PLAN, 1).document == {"cam": "B2"}, (
            "the version before is still there"
        )


def test_a_change_that_changes_nothing_is_no_act(database: Database) -> None:
    add(database)
    with database.writing() as session:
        assert change_job(session, document(), {PLAN: 1}, act()).versions[PLAN] == 1
    with database.reading() as session:
        assert len(history(session, "J-1")) == 1


def test_whoever_comes_second_is_told_by_whom_and_what_changed(database: Database) -> None:
    add(database)
    with database.writing() as session:
        change_job(session, document(cam="B3"), {PLAN: 1}, act("chose B3", "Rook", 5))
    with pytest.raises(ChangedMeanwhile) as told, database.writing() as session:
        change_job(session, document(phaser="remove"), {PLAN: 1}, act("took the phaser out", "Wren", 6))
    at = moment(datetime(2026, 3, 2, 12, 5, tzinfo=UTC))
    assert str(told.value) == (
        f"The plan changed meanwhile by Rook at {at}. Here is the difference: cam: B2 became B3."
    )
    assert told.value.fields == (Field("cam", "B2", "B3"),)
    data = told.value.as_data()
    assert data["message"] == f"The plan changed meanwhile by Rook at {at}.", "once, not twice"
    assert data["facts"] == ["cam: B2 became B3"]
    with database.reading() as session:
        assert job_now(session, "J-1").document["plan"] == {"cam": "B3"}
        assert [each.who for each in history(session, "J-1")] == ["Rook", "Wren"]


def test_two_people_at_two_parts_do_not_meet(database: Database) -> None:
    add(database)
    read = {SHEET: 1, FACTS: 1, PLAN: 1}
    with database.writing() as session:
        change_job(session, document(cam="B3"), read, act(after=1))
    moved = document()
    moved["facts"]["mileage"] = {"value": "150000 km", "grade": "seen", "source": "odometer"}
    with database.writing() as session:
        job = change_job(session, moved, read, act(after=2))
    assert job.document["plan"] == {"cam": "B3"}
    assert job.document["facts"]["mileage"]["grade"] == "seen"
    assert job.versions == {SHEET: 1, FACTS: 2, PLAN: 2}


def test_the_trail_says_who_when_what_and_why(database: Database) -> None:
    add(database)
    with database.writing() as session:
        change_job(session, document(cam="B3"), {PLAN: 1}, act("chose a cam", "Rook", 5, "more idle vacuum"))
    with database.reading() as session:
        last, first = history(session, "J-1")
        assert [each.what for each in trail(session)] == ["chose a cam", "opened the job"]
    assert (first.at, first.who, first.what, first.fields) == (NOON, "Wren", "opened the job", ())
    assert (last.who, last.why) == ("Rook", "more idle vacuum")
    assert last.fields == (Field("cam", "B2", "B3"),)


def test_a_number_is_given_once(database: Database) -> None:
    add(database)
    with pytest.raises(NotKept, match="There is a job J-1 already; a new job needs a number of its own"):
        add(database)
    with pytest.raises(NotKept, match="There is no job J-9 in the store"), database.reading() as session:
        job_now(session, "J-9")


@pytest.mark.parametrize("words", ["j-1", "pellow WITHY", "051209", ""])
def test_a_job_is_found_by_number_customer_title_and_vin(database: Database, words: str) -> None:
    add(database)
    with database.reading() as session:
        assert [row.number for row in find_jobs(session, words)] == ["J-1"]


@pytest.mark.parametrize("words", ["pellow osprey", "%", "_-1", "J-2"])
def test_what_no_job_holds_finds_none(database: Database, words: str) -> None:
    add(database)
    with database.reading() as session:
        assert find_jobs(session, words) == []


def test_of_many_who_change_one_plan_at_once_one_is_kept_and_the_others_are_told(database: Database) -> None:
    add(database)

    def change(place: int) -> bool:
        try:
            with database.writing() as session:
                change_job(session, document(rpm=6000 + place), {PLAN: 1}, act(who=f"P{place}"))
        except ChangedMeanwhile:
            return False
        return True

    with ThreadPoolExecutor(6) as pool:
        kept = list(pool.map(change, range(6)))
    assert kept.count(True) == 1
    with database.reading() as session:
        winner = kept.index(True)
        assert job_now(session, "J-1").document["plan"]["rpm"] == 6000 + winner
        assert history(session, "J-1")[0].who == f"P{winner}"
        assert len(session.scalars(select(Version).where(Version.part == PLAN)).all()) == 2


def test_of_many_who_open_one_number_at_once_one_is_kept(database: Database) -> None:
    def opened(_: int) -> bool:
        try:
            add(database)
        except NotKept:
            return False
        return True

    with ThreadPoolExecutor(6) as pool:
        assert list(pool.map(opened, range(6))).count(True) == 1


def test_an_act_that_fails_leaves_nothing(database: Database) -> None:
    def interrupted() -> None:
        with database.writing() as session:
            add_job(session, document(), act())
            raise RuntimeError("the lamp went out")

    with pytest.raises(RuntimeError, match="the lamp went out"):
        interrupted()
    with database.reading() as session:
        assert find_jobs(session) == []
        assert session.scalars(select(Entry)).all() == []


def test_what_is_read_in_one_view_is_of_one_moment(database: Database) -> None:
    add(database)
    with database.one_view():
        with database.reading() as session:
            before = job_now(session, "J-1")
        with ThreadPoolExecutor(1) as other:
            other.submit(add, database, "J-2").result()
            other.submit(_without_phaser, database).result()
        with database.reading() as session:
            assert job_now(session, "J-1") == before
            with pytest.raises(NotKept):
                job_now(session, "J-2")
    with database.reading() as session:
        assert job_now(session, "J-1").versions[PLAN] == 2
        assert job_now(session, "J-2").number == "J-2"


def test_a_view_that_failed_is_left(database: Database) -> None:
    add(database)
    with pytest.raises(ZeroDivisionError), database.one_view():
        assert 1 / 0
    add(database, "J-2")
    with database.reading() as session:
        assert job_now(session, "J-2").number == "J-2"


def test_nothing_is_written_in_a_view(database: Database) -> None:
    with database.one_view(), pytest.raises(AssertionError, match="of the moment before"):
        add(database)
    add(database)


def _without_phaser(database: Database) -> None:
    with database.writing() as session:
        change_job(session, document(phaser="remove"), {PLAN: 1}, act(after=1))


def test_what_was_said_of_a_fact_is_told_in_words() -> None:
    first = {"value": "92000 km", "grade": "seen", "source": "odometer"}
    later = {"value": "92100 km", "grade": "told", "source": "A. Marl"}
    (field,) = differing({"mileage": first, "work": []}, {"mileage": [later, first], "work": []})
    assert str(field) == (
        "mileage: 92000 km, seen, odometer became 92100 km, told, A. Marl; 92000 km, seen, odometer"
    )
