"""Keeps people and vehicles beside their jobs: who came back is known again where that is safe."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, func, or_, select, update
from sqlalchemy.orm import Session, selectinload

from tappetry.store.models import JobRow
from tappetry.store.people_models import Customer, Mileage, Vehicle
from tappetry.store.problems import NotKept

#: Facts of a job by which its vehicle is known, and the one that is read anew each time.
VIN, PLATE, MILEAGE = "vin", "plate", "mileage"
#: How many customers a list shows.
MOST = 100


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who comes with a new job, as far as it is said: a known customer or vehicle, or how to reach him."""

    customer_id: int | None = None
    vehicle_id: int | None = None
    reach: tuple[str, ...] = ()
    plate: str = ""


def name_key(name: str) -> str:
    """A name as names are compared: without regard to case and spaces."""
    return " ".join(name.casefold().split())


def reach_key(text: str) -> str:
    """A way to reach somebody as such are compared: of a telephone number its digits alone."""
    digits = re.sub(r"\D", "", text)
    return digits if len(digits) >= 6 and "@" not in text else "".join(text.casefold().split())


def words_of(*texts: str) -> str:
    """What a search reads of some texts: as they stand, and without spaces and signs between them."""
    return " ".join([*texts, *(re.sub(r"[\W_]", "", text) for text in texts)]).casefold()


def stated(facts: Mapping[str, Any], name: str) -> Mapping[str, Any] | None:
    """What stands first of a fact in a job's document; None where it is not stated."""
    measured = facts.get("measurements", {}).get(name)
    if measured is not None:
        return {"value": measured, "grade": "measured"}
    fact = facts.get("facts", {}).get(name)
    first = fact[0] if isinstance(fact, list) else fact
    return first if isinstance(first, Mapping) else None


def keep_up(
    session: Session, row: JobRow, facts: Mapping[str, Any], at: datetime, visitor: Visitor | None = None
) -> None:
    """Let a job point at its customer and its vehicle, and keep the mileage that it states.

    A customer is known again by what is said of him, or by his name together with a way to reach him or the
    VIN of his vehicle. A name alone is not enough: then he stands apart, until somebody merges the two.
    """
    said = visitor or Visitor()
    vin, plate = (_identifier(facts, name) for name in (VIN, PLATE))
    plate = said.plate.strip().upper() or plate
    if row.customer_id is None:
        row.customer_id = said.customer_id or _customer(session, row.customer, said.reach, vin)
    if said.vehicle_id is not None:
        row.vehicle_id = said.vehicle_id
    elif vin or plate:
        row.vehicle_id = _vehicle(session, row, vin, plate)
    mileage = stated(facts, MILEAGE)
    if row.vehicle_id is not None and mileage is not None:
        _read_mileage(session, row, mileage, at)


def _identifier(facts: Mapping[str, Any], name: str) -> str:
    found = stated(facts, name)
    return "" if found is None else str(found["value"]).strip().upper()[:40]


def _customer(session: Session, name: str, reach: Sequence[str], vin: str) -> int | None:
    if not name:
        return None
    ways = {reach_key(each) for each in reach}
    same = select(Customer).where(Customer.key == name_key(name), Customer.deleted_at.is_(None))
    for known in session.scalars(same.order_by(Customer.id)):
        by_vehicle = vin and session.scalar(
            select(Vehicle.id).where(Vehicle.customer_id == known.id, Vehicle.vin == vin)
        )
        if by_vehicle or ways & {reach_key(each) for each in known.reach}:
            say(known, known.name, dict.fromkeys((*known.reach, *reach)), known.notes)
            return known.id
    made = Customer(name="", key="", document={}, notes="", words="", deleted_at=None)
    say(made, name, reach, "")
    session.add(made)
    session.flush()
    return made.id


def say(customer: Customer, name: str, reach: Iterable[str], notes: str) -> None:
    """Write down how a customer is called and reached."""
    ways = [each.strip() for each in reach if each.strip()]
    customer.name, customer.key, customer.notes = name.strip(), name_key(name), notes.strip()
    customer.document = {"reach": ways}
    customer.words = words_of(customer.name, *ways)


def _vehicle(session: Session, row: JobRow, vin: str, plate: str) -> int:
    """The vehicle of a job that states a VIN or a plate: known already, corrected, or new."""
    now = None if row.vehicle_id is None else session.get(Vehicle, row.vehicle_id)
    if now is not None and vin in ("", now.vin):
        name_vehicle(now, now.vin, plate or now.plate)
        return now.id
    by: list[ColumnElement[bool]] = [Vehicle.vin == vin] if vin else []
    if plate:
        by.append((Vehicle.plate == plate) & (or_(Vehicle.vin == "", Vehicle.vin == vin) if vin else True))
    known = session.scalar(
        select(Vehicle).where(Vehicle.customer_id == row.customer_id, or_(*by)).order_by(Vehicle.id)
    )
    if known is None and now is not None and (not now.vin or _jobs_at(session, now) == 1):
        known = now  # what was read of it is corrected
    if known is None:
        known = Vehicle(customer_id=row.customer_id, vin="", plate="", words="")
        session.add(known)
    name_vehicle(known, vin or known.vin, plate or known.plate)
    session.flush()
    return known.id


def name_vehicle(vehicle: Vehicle, vin: str, plate: str) -> None:
    """Write down by what a vehicle is known."""
    vehicle.vin, vehicle.plate = vin.strip().upper()[:40], plate.strip().upper()[:40]
    vehicle.words = words_of(vehicle.vin, vehicle.plate)


def _jobs_at(session: Session, vehicle: Vehicle) -> int:
    return session.scalar(select(func.count()).where(JobRow.vehicle_id == vehicle.id)) or 0


def _read_mileage(session: Session, row: JobRow, said: Mapping[str, Any], at: datetime) -> None:
    latest = session.scalar(select(Mileage).where(Mileage.job_id == row.id).order_by(Mileage.id.desc()))
    reading = str(said["value"]), str(said["grade"])
    if latest is None or (latest.value, latest.grade) != reading:
        session.add(
            Mileage(
                vehicle_id=row.vehicle_id,
                job_id=row.id,
                day=at.date(),
                value=reading[0],
                grade=reading[1],
            )
        )


def customer_of(session: Session, customer: int) -> Customer:
    """A customer.

    Raises
    ------
    NotKept
        There is no such customer.
    """
    found = session.get(Customer, customer)
    if found is None:
        raise NotKept(f"There is no customer {customer}.")
    return found


def vehicle_of(session: Session, vehicle: int) -> Vehicle:
    """A vehicle with its readings.

    Raises
    ------
    NotKept
        There is no such vehicle.
    """
    found = session.get(Vehicle, vehicle, options=[selectinload(Vehicle.mileages)])
    if found is None:
        raise NotKept(f"There is no vehicle {vehicle}.")
    return found


def find_customers(session: Session, words: str = "", most: int = MOST) -> list[Customer]:
    """Customers that hold every one of some words in name, ways to reach them, VIN or plate."""
    wanted = select(Customer).where(Customer.deleted_at.is_(None)).order_by(Customer.key, Customer.id)
    for word in words.casefold().split():
        of_vehicle = select(Vehicle.customer_id).where(Vehicle.words.contains(word, autoescape=True))
        wanted = wanted.where(
            or_(Customer.words.contains(word, autoescape=True), Customer.id.in_(of_vehicle))
        )
    return list(session.scalars(wanted.limit(most)))


def vehicles_of(session: Session, customer: int) -> list[Vehicle]:
    """The vehicles of a customer, with their readings."""
    wanted = select(Vehicle).options(selectinload(Vehicle.mileages)).order_by(Vehicle.id)
    return list(session.scalars(wanted.where(Vehicle.customer_id == customer)))


def jobs_of(session: Session, customer: int) -> list[JobRow]:
    """The jobs of a customer, the latest first."""
    return list(
        session.scalars(select(JobRow).where(JobRow.customer_id == customer).order_by(JobRow.id.desc()))
    )


def jobs_at(session: Session, vehicle: int) -> list[JobRow]:
    """The jobs of a vehicle, the latest first."""
    return list(
        session.scalars(select(JobRow).where(JobRow.vehicle_id == vehicle).order_by(JobRow.id.desc()))
    )


def alike(session: Session, customer: Customer) -> list[Customer]:
    """Customers who may be the same: of the same name, with the same way to reach them, or the same VIN."""
    ways = {reach_key(each) for each in customer.reach}
    vins = select(Vehicle.vin).where(Vehicle.customer_id == customer.id, Vehicle.vin != "")
    shared = set(session.scalars(select(Vehicle.customer_id).where(Vehicle.vin.in_(vins))))
    others = select(Customer).where(Customer.id != customer.id, Customer.deleted_at.is_(None))
    return [
        each
        for each in session.scalars(others.order_by(Customer.id))
        if each.key == customer.key or each.id in shared or ways & {reach_key(way) for way in each.reach}
    ]


def merge(session: Session, into: Customer, other: Customer) -> None:
    """Let all that refers to one customer refer to another one; vehicles of one VIN become one."""
    say(
        into,
        into.name,
        dict.fromkeys((*into.reach, *other.reach)),
        "\n".join(filter(None, (into.notes, other.notes))),
    )
    mine = {each.vin: each for each in vehicles_of(session, into.id) if each.vin}
    for vehicle in vehicles_of(session, other.id):
        same = mine.get(vehicle.vin)
        if same is None:
            vehicle.customer_id = into.id
            continue
        for table in (JobRow, Mileage):
            session.execute(update(table).where(table.vehicle_id == vehicle.id).values(vehicle_id=same.id))
        name_vehicle(same, same.vin, same.plate or vehicle.plate)
        session.expire(vehicle, ["mileages"])
        session.delete(vehicle)
    session.execute(update(JobRow).where(JobRow.customer_id == other.id).values(customer_id=into.id))
    session.flush()
    session.delete(other)
    session.flush()
