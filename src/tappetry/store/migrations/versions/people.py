"""People and vehicles as rows of their own, made of the jobs that there are."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

import sqlalchemy as sa
from alembic import op

from tappetry.store.migrations.keys import foreign_key

revision = "people"
down_revision = "texts"


def upgrade() -> None:
    """Make the tables, and fill them."""
    op.create_table(
        "customers",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("deleted_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_customers"),
    )
    op.create_index("ix_customers_key", "customers", ["key"])
    op.create_table(
        "vehicles",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=True),
        sa.Column("vin", sa.String(40), nullable=False),
        sa.Column("plate", sa.String(40), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_vehicles"),
        foreign_key("vehicles", "customer_id", "customers"),
    )
    for column in ("customer_id", "vin"):
        op.create_index(f"ix_vehicles_{column}", "vehicles", [column])
    op.create_table(
        "mileages",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("vehicle_id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("grade", sa.String(20), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_mileages"),
        foreign_key("mileages", "vehicle_id", "vehicles"),
        foreign_key("mileages", "job_id", "jobs"),
    )
    for column in ("vehicle_id", "job_id"):
        op.create_index(f"ix_mileages_{column}", "mileages", [column])
    for column, other in (("customer_id", "customers"), ("vehicle_id", "vehicles")):
        op.execute(
            f"ALTER TABLE jobs ADD COLUMN {column} INTEGER "
            f"CONSTRAINT fk_jobs_{column}_{other} REFERENCES {other} (id)"
        )
        op.create_index(f"ix_jobs_{column}", "jobs", [column])
    _fill(op.get_bind())


def _fill(bind: sa.Connection) -> None:
    """One customer for each name with a VIN, and one for each job where only a name stands."""
    customers: dict[tuple[str, str], int] = {}
    vehicles: dict[tuple[int | None, str], int] = {}
    rows = bind.execute(
        sa.text(
            "SELECT jobs.id, jobs.customer, versions.document FROM jobs JOIN versions ON "
            "versions.job_id = jobs.id AND versions.part = 'facts' "
            "AND versions.version = jobs.facts_version ORDER BY jobs.id"
        )
    ).all()
    for job, name, document in rows:
        facts = json.loads(document)
        vin, plate = (_identifier(facts, each) for each in ("vin", "plate"))
        who = (" ".join(name.casefold().split()), vin or f"job {job}")
        if name and who not in customers:
            values = {"name": name, "key": who[0], "words": _words(name)}
            customers[who] = _new(bind, "customers", {**values, "document": '{"reach": []}', "notes": ""})
        customer = customers.get(who)
        which = (customer, vin or plate)
        if which[1] and which not in vehicles:
            values = {"vin": vin, "plate": plate, "words": _words(vin, plate)}
            vehicles[which] = _new(bind, "vehicles", {**values, "customer_id": customer})
        vehicle = vehicles.get(which)
        bind.execute(
            sa.text("UPDATE jobs SET customer_id = :customer, vehicle_id = :vehicle WHERE id = :job"),
            {"customer": customer, "vehicle": vehicle, "job": job},
        )
        if vehicle is not None:
            _mileages(bind, job, vehicle)


def _mileages(bind: sa.Connection, job: int, vehicle: int) -> None:
    """Each mileage that a job stated, on its day."""
    said = sa.text(
        "SELECT entries.at, versions.document FROM versions JOIN entries ON entries.id = versions.entry_id "
        "WHERE versions.job_id = :job AND versions.part = 'facts' ORDER BY versions.version"
    ).columns(at=sa.DateTime(timezone=True), document=sa.Text())
    last = None
    for at, document in bind.execute(said, {"job": job}).all():
        found = _stated(json.loads(document), "mileage")
        reading = None if found is None else (str(found["value"]), str(found["grade"]))
        if reading is not None and reading != last:
            values = {"vehicle_id": vehicle, "job_id": job, "day": _day(at)}
            _new(bind, "mileages", {**values, "value": reading[0], "grade": reading[1]})
            last = reading


def _day(at: datetime) -> date:
    return at.date()


def _new(bind: sa.Connection, table: str, values: Mapping[str, Any]) -> int:
    """Write one row and return its number."""
    columns = [sa.column(name, sa.Date() if name == "day" else None) for name in values]
    made = sa.insert(sa.table(table, sa.column("id", sa.Integer()), *columns)).values(values)
    number: int = bind.execute(made.returning(sa.column("id", sa.Integer()))).scalar_one()
    return number


def _stated(facts: Mapping[str, Any], name: str) -> Mapping[str, Any] | None:
    measured = facts.get("measurements", {}).get(name)
    if measured is not None:
        return {"value": measured, "grade": "measured"}
    fact = facts.get("facts", {}).get(name)
    first = fact[0] if isinstance(fact, list) else fact
    return first if isinstance(first, Mapping) else None


def _identifier(facts: Mapping[str, Any], name: str) -> str:
    found = _stated(facts, name)
    return "" if found is None else str(found["value"]).strip().upper()[:40]


def _words(*texts: str) -> str:
    return " ".join([*texts, *(re.sub(r"[\W_]", "", text) for text in texts)]).casefold()
