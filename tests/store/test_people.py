"""People and vehicles in the store: made of the jobs, known again where that is safe, merged, found."""

from __future__ import annotations

import json
from typing import Any

import pytest
from sqlalchemy import select, text

from tappetry.store import people
from tappetry.store.database import Database
from tappetry.store.jobs import add_job, change_job, find_jobs, job_now, row_of
from tappetry.store.migrate import migrate, steps
from tappetry.store.models import FACTS, JobRow
from tappetry.store.people import Visitor
from tappetry.store.people_models import Customer, Mileage, Vehicle
from tappetry.store.problems import NotKept
from tests.databases import KINDS, Databases
from tests.store.documents import NOON, act, document

pytestmark = pytest.mark.slow

OTHER_VIN = "9ZZT1L4A34H014820"


def stated(number: str, vin: str = "", customer: str = "A. Pellow", mileage: str = "") -> dict[str, Any]:
    made = document(number)
    made["customer"] = customer
    if vin:
        made["facts"]["vin"]["value"] = vin
    if mileage:
        made["facts"]["mileage"]["value"] = mileage
    return made


def test_a_name_with_the_same_vin_is_known_again_and_a_name_alone_stands_apart(database: Database) -> None:
    with database.writing() as session:
        for number, vin, name in (
            ("J-1", "", "A. Pellow"),
            ("J-2", "", "a.  pellow"),
            ("J-3", OTHER_VIN, "A. Pellow"),
            ("J-4", "", "B. Tamsin"),
        ):
            add_job(session, stated(number, vin, name), act())
        who = [row_of(session, f"J-{n}").customer_id for n in (1, 2, 3, 4)]
        assert who[0] == who[1]
        assert len(set(who)) == 3
        of = [row_of(session, f"J-{n}").vehicle_id for n in (1, 2, 3, 4)]
        assert of[0] == of[1]
        assert len(set(of)) == 3, "a vehicle that changed hands stands with each of them"


def test_a_way_to_reach_somebody_makes_him_known_again(database: Database) -> None:
    with database.writing() as session:
        add_job(session, stated("J-1"), act(), Visitor(reach=("+1 555 0100", "ap@example.org")))
        add_job(session, stated("J-2", OTHER_VIN), act(), Visitor(reach=("1-555-0100",), plate="mc 12-34"))
        add_job(session, stated("J-3", OTHER_VIN, "B. Tamsin"), act(), Visitor(reach=("+1 555 0100",)))
        known = people.customer_of(session, row_of(session, "J-1").customer_id or 0)
        assert known.reach == ("+1 555 0100", "ap@example.org", "1-555-0100")
        assert row_of(session, "J-2").customer_id == known.id
        assert row_of(session, "J-3").customer_id != known.id, "one telephone, two people"
        assert [each.vin for each in people.vehicles_of(session, known.id)] == [
            document()["facts"]["vin"]["value"],
            OTHER_VIN,
        ]
        for words in ("MC 12-34", "mc1234", "15550100 pellow", OTHER_VIN.lower()):
            assert "J-2" in [row.number for row in find_jobs(session, words)], words
            assert known.id in [each.id for each in people.find_customers(session, words)], words
        assert people.find_customers(session, "osprey") == []


def test_a_vin_that_is_corrected_stays_the_same_vehicle_and_mileage_is_kept_with_its_day(
    database: Database,
) -> None:
    with database.writing() as session:
        add_job(session, stated("J-1"), act())
        before = row_of(session, "J-1").vehicle_id
        later = stated("J-1", OTHER_VIN, mileage="150000 km")
        change_job(session, later, {FACTS: 1}, act(after=60 * 24))
        assert row_of(session, "J-1").vehicle_id == before
        vehicle = people.vehicle_of(session, before or 0)
        assert vehicle.vin == OTHER_VIN
        readings = [(each.day.isoformat(), each.value, each.grade) for each in vehicle.mileages]
        assert readings == [("2026-03-02", "140000 km", "told"), ("2026-03-03", "150000 km", "told")]


def test_two_who_are_one_are_merged_with_all_that_refers_to_them(database: Database) -> None:
    with database.writing() as session:
        add_job(session, stated("J-1"), act(), Visitor(reach=("555 0100",)))
        add_job(session, stated("J-2", OTHER_VIN), act(), Visitor(reach=("555 0199",)))
        add_job(session, stated("J-3", customer="Pellow, A."), act())
        into, other, third = session.scalars(select(Customer).order_by(Customer.id))
        assert people.alike(session, into) == [other, third]
        people.say(other, other.name, other.reach, "pays late")
        people.merge(session, into, other)
        people.merge(session, into, third)
        assert [each.id for each in session.scalars(select(Customer))] == [into.id]
        assert (into.reach, into.notes) == (("555 0100", "555 0199"), "pays late")
        assert {row.customer_id for row in session.scalars(select(JobRow))} == {into.id}
        assert session.scalars(select(Vehicle.id)).all() == sorted(
            {row.vehicle_id or 0 for row in session.scalars(select(JobRow))}
        )
        assert row_of(session, "J-1").vehicle_id == row_of(session, "J-3").vehicle_id
        assert set(session.scalars(select(Mileage.vehicle_id))) == set(session.scalars(select(Vehicle.id)))
        with pytest.raises(NotKept, match=f"There is no customer {third.id}"):
            people.customer_of(session, third.id)


@pytest.mark.parametrize("kind", KINDS)
def test_the_step_makes_people_and_vehicles_of_the_jobs_that_there_were(
    all_databases: Databases, kind: str
) -> None:
    database = all_databases.empty(kind)
    migrate(database, steps()[steps().index("people") - 1])
    documents = [
        stated("J-1"),
        stated("J-2", OTHER_VIN),
        stated("J-3", mileage="151000 km"),
        {**document("J-4"), "facts": {"vin": "unknown"}},
        {**document("J-5"), "customer": "B. Tamsin"},
    ]
    with database.writing() as session:
        for number, each in enumerate(documents, 1):
            _old_job(session, number, each)
    migrate(database)
    with database.reading() as session:
        rows = [row_of(session, f"J-{n}") for n in range(1, 6)]
        who = [row.customer_id for row in rows]
        assert who[0] == who[2]
        assert len(set(who)) == 4, "a name alone, or with another VIN, stands apart"
        assert rows[3].vehicle_id is None
        vehicle = people.vehicle_of(session, rows[0].vehicle_id or 0)
        readings = [(each.value, each.day) for each in vehicle.mileages]
        assert readings == [("140000 km", NOON.date()), ("151000 km", NOON.date())]
        assert [job_now(session, f"J-{n}").document for n in range(1, 6)] == documents
        assert people.find_customers(session, "tamsin")[0].reach == ()
    with database.writing() as session:
        add_job(session, stated("J-6"), act())
        assert row_of(session, "J-6").customer_id == who[0], "new rows are numbered on"
    database.close()


def _old_job(session: Any, number: int, whole: dict[str, Any]) -> None:
    """A job as the tables held it before people had rows of their own."""
    parts = {
        "sheet": {name: whole[name] for name in ("title", "date", "customer")},
        "facts": {name: whole[name] for name in ("facts", "measurements")},
        "plan": whole["plan"],
    }
    values = {"id": number, "number": whole["job"], "customer": whole["customer"], "at": NOON}
    session.execute(
        text(
            "INSERT INTO jobs (number, title, customer, state, words, changed_at, sheet_version, "
            "facts_version, plan_version) VALUES (:number, '', :customer, 'open', '', :at, 1, 1, 1)"
        ),
        values,
    )
    session.execute(
        text("INSERT INTO entries (at, who, what, why, job_id) VALUES (:at, 'Wren', 'opened', '', :id)"),
        values,
    )
    for part, content in parts.items():
        session.execute(
            text(
                "INSERT INTO versions (job_id, part, version, document, entry_id) "
                "VALUES (:id, :part, 1, :document, :id)"
            ),
            {**values, "part": part, "document": json.dumps(content)},
        )
