"""People and vehicles that come back: found, told what was done before, merged; a new job for a vehicle."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from tappetry.records.evidence import Grade
from tappetry.records.family import AttributeSchema
from tappetry.records.problems import BadInput, TappetryError, Where
from tappetry.services import agreements
from tappetry.services.choices import CAM, first_plan
from tappetry.services.ledger import LONGEST_NAME, UNKNOWN, JobRow, Ledger
from tappetry.services.variants import CAM_GRIND
from tappetry.store import jobs, people
from tappetry.store.jobs import ACCEPTED, INVOICED, KeptJob
from tappetry.store.models import FACTS
from tappetry.store.people import MILEAGE, Visitor
from tappetry.store.people_models import Customer, Vehicle
from tappetry.store.problems import NotKept

__all__ = ["Customer", "Vehicle", "Visitor"]

#: What stays true from one job to the next, by what attributes are about; the rest is asked again.
STAYS = ("vehicle", "engine")
#: The longest text of a form here. [sign]
LONGEST = 2000


@dataclass(frozen=True, slots=True)
class Before:
    """A job that was done before: what it sold, what was measured in it, and what was declined then."""

    row: JobRow
    total: Decimal | None
    currency: str
    parts: tuple[str, ...]
    measured: tuple[tuple[str, str, str], ...]
    declined: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Known:
    """A customer with his vehicles, his jobs, and others who may be the same."""

    customer: Customer
    vehicles: tuple[Vehicle, ...]
    before: tuple[Before, ...]
    alike: tuple[Customer, ...]


@dataclass(frozen=True, slots=True)
class TakenOver:
    """What a new job for a vehicle begins with, and what has to be asked again."""

    vehicle: Vehicle
    customer: Customer | None
    facts: Mapping[str, list[dict[str, Any]]]
    again: tuple[AttributeSchema, ...]
    sheet: Mapping[str, Any]
    latest: str


def find(ledger: Ledger, words: str = "") -> list[Customer]:
    """Customers that hold some words in name, ways to reach them, VIN or plate."""
    return ledger.read(lambda session: people.find_customers(session, words))


def known(ledger: Ledger, customer: int) -> Known:
    """A customer, with all that the shop knows of him.

    Raises
    ------
    NotKept
        There is no such customer.
    """
    with ledger.database.reading() as session:
        found = people.customer_of(session, customer)
        vehicles = people.vehicles_of(session, customer)
        rows = people.jobs_of(session, customer)
        others = [] if found.deleted_at else people.alike(session, found)
    before = tuple(_before(ledger, row) for row in rows)
    return Known(found, tuple(vehicles), before, tuple(others))


def of_job(ledger: Ledger, number: str) -> tuple[Customer | None, Vehicle | None]:
    """Customer and vehicle of a job, as far as they are known."""
    with ledger.database.reading() as session:
        row = jobs.row_of(session, number)
        customer = None if row.customer_id is None else people.customer_of(session, row.customer_id)
        return customer, None if row.vehicle_id is None else people.vehicle_of(session, row.vehicle_id)


def change_customer(
    ledger: Ledger, customer: int, name: str, reach: Iterable[str], notes: str, who: str
) -> None:
    """Write down how a customer is called and reached, and notes; jobs keep the name that they were given.

    Raises
    ------
    BadInput
        He has no name, or a text is too long.
    NotKept
        There is no such customer, or his data were deleted.
    """
    if not name.strip():
        raise BadInput.at(Where(field="name"), "a customer has a name", name, "a name")
    ways = list(reach)
    _short("notes", notes)
    _short("reach", "".join(ways))
    _short("name", name, LONGEST_NAME)
    with ledger.database.writing() as session:
        found = _present(people.customer_of(session, customer))
        people.say(found, name, ways, notes)
        jobs.enter(session, ledger.act(who, f"changed what is written down of customer {customer}"))


def change_vehicle(ledger: Ledger, vehicle: int, plate: str, who: str) -> None:
    """Write down the plate of a vehicle; its VIN is a fact of its jobs."""
    _short("plate", plate, 40)
    with ledger.database.writing() as session:
        found = people.vehicle_of(session, vehicle)
        people.name_vehicle(found, found.vin, plate)
        jobs.enter(session, ledger.act(who, f"changed the plate of vehicle {vehicle}"))


def merge(ledger: Ledger, into: int, other: int, who: str) -> None:
    """Make one of two customers: all that refers to the other one refers to the first.

    Raises
    ------
    BadInput
        It is one and the same.
    NotKept
        There is no such customer.
    """
    if into == other:
        raise BadInput.at(
            Where(field="other"), "a customer is not merged with himself", str(other), "another customer"
        )
    with ledger.database.writing() as session:
        first, second = (_present(people.customer_of(session, each)) for each in (into, other))
        rows = people.jobs_of(session, other)
        people.merge(session, first, second)
        act = ledger.act(who, f"merged customer {other} into customer {into}")
        jobs.enter(session, act)
        for row in rows:
            jobs.enter(session, act, row)


def taken_over(ledger: Ledger, vehicle: int) -> TakenOver:
    """What a new job for a vehicle begins with: facts that stay true, each with its evidence and its day.

    The latest job that stated a fact says it. What work of the house may have changed is asked again once
    work was agreed on a job since, and so are use, tests and findings. Which camshaft stands there says the
    latest job that put one in, or that stated it since.

    Raises
    ------
    NotKept
        There is no such vehicle, or it was in no job.
    """
    with ledger.database.reading() as session:
        found = people.vehicle_of(session, vehicle)
        customer = None if found.customer_id is None else people.customer_of(session, found.customer_id)
        rows = people.jobs_at(session, vehicle)
        documents = [jobs.job_now(session, row.number).document for row in rows]
    if not rows:
        raise NotKept(f"Vehicle {vehicle} was in no job yet.")
    taken: dict[str, list[dict[str, Any]]] = {}
    again: dict[str, AttributeSchema] = {}
    worked = False
    attributes = ledger.shop.knowledge.attributes
    for row, document in zip(rows, documents, strict=True):
        agreed = row.state in (ACCEPTED, INVOICED)
        if agreed and document["plan"].get(CAM) and CAM_GRIND in attributes and CAM_GRIND not in taken:
            taken[CAM_GRIND] = [_put_in(row.number, document)]
        worked = worked or agreed
        for name, said in _said(document).items():
            attribute = attributes.get(name)
            if attribute is None or name in taken or name in again:
                continue
            changed = worked and attribute.renewed and name != CAM_GRIND
            if attribute.about not in STAYS or changed:
                again[name] = attribute
            else:
                mark = f"job {row.number} of {document['date']}"
                taken[name] = [{**each, "source": _source(each, mark)} for each in said]
    sheet: dict[str, Any] = {
        name: documents[0][name] for name in ("customer", "place", "road_use") if name in documents[0]
    }
    return TakenOver(found, customer, taken, tuple(again.values()), sheet, rows[0].number)


def new_job_for(
    ledger: Ledger,
    vehicle: int,
    stated: Mapping[str, str],
    who: str,
    mileage: tuple[str, str] = ("", ""),
    work: Iterable[str] = (),
) -> KeptJob:
    """Open a job for a vehicle that was here before; mileage is stated anew, with its grade, or unknown.

    ``stated`` holds the job's ``number`` and, where it has them, its ``title`` and its ``cam``; without a
    camshaft ``work`` is what is asked for.

    Raises
    ------
    BadInput
        What is stated makes no job.
    NotKept
        There is no such vehicle, or there is a job of this number already.
    """
    over = taken_over(ledger, vehicle)
    value, grade = mileage
    if value and grade not in Grade.__members__:
        expected = "one of " + ", ".join(Grade.__members__)
        raise BadInput.at(Where(field="grade"), "there is no such grade", grade, expected)
    read = {"value": value, "grade": grade, "source": f"asked on {ledger.today}"} if value else UNKNOWN
    document = {
        "job": stated["number"].strip(),
        **({"title": stated["title"].strip()} if stated.get("title", "").strip() else {}),
        "date": ledger.today.isoformat(),
        **over.sheet,
        FACTS: {**{name: list(said) for name, said in over.facts.items()}, MILEAGE: read},
        "plan": first_plan(stated.get("cam", "").strip(), work),
    }
    visitor = Visitor(over.vehicle.customer_id, vehicle)
    why = f"the vehicle of job {over.latest} came back"
    return ledger.new_job(json.dumps(document), who, why, visitor)


def _said(document: Mapping[str, Any]) -> dict[str, list[dict[str, Any]]]:
    """All that a job states of each attribute, the first one in charge among equals."""
    found: dict[str, list[dict[str, Any]]] = {}
    for name, value in document.get("measurements", {}).items():
        if value is not None:
            found[name] = [{"value": value, "grade": "measured", "source": "measured at the bench"}]
    for name, fact in document[FACTS].items():
        said = fact if isinstance(fact, list) else [fact] if isinstance(fact, Mapping) else []
        if said:
            found.setdefault(name, []).extend(dict(each) for each in said)
    return found


def _put_in(number: str, document: Mapping[str, Any]) -> dict[str, Any]:
    """The camshaft of a job that was agreed on, as a fact: from the papers, until somebody looks."""
    source = f"job {number} of {document['date']} was to put it in"
    return {"value": str(document["plan"][CAM]), "grade": Grade.decoded.name, "source": source}


def _source(said: Mapping[str, Any], mark: str) -> str:
    """Where a fact is from, with the job that said it first."""
    source = str(said.get("source", ""))
    return source if "; job " in source else f"{source}; {mark}".removeprefix("; ")


def _before(ledger: Ledger, row: JobRow) -> Before:
    """A job as somebody who meets the customer again wants to see it."""
    kept = ledger.kits(row.number)
    said = agreements.acceptances(ledger, row.number)
    kit = said[-1].kit.document if said else kept[-1].document if kept else {"lines": []}
    declined = [
        (each["text"], each["consequence"])
        for yes in said
        for each in yes.document["options"]
        if each["answer"] == agreements.DECLINED
    ]
    total = said[-1].kit.total if said else kept[-1].total if kept else None
    return Before(
        row=row,
        total=total,
        currency=kept[-1].currency if kept else "",
        parts=tuple(f"{each['quantity']} x {each['description']}" for each in kit["lines"]),
        measured=_measured(ledger, row.number),
        declined=tuple(dict.fromkeys(declined)),
    )


def _measured(ledger: Ledger, number: str) -> tuple[tuple[str, str, str], ...]:
    """What was measured in a job: what, value as read, and with what; none where the shop's text changed."""
    attributes = ledger.shop.knowledge.attributes
    try:
        facts: Sequence[Any] = ledger.job(number).job.facts
    except TappetryError:
        return ()
    return tuple(
        (attributes[fact.attribute].title, fact.show(), fact.source)
        for fact in facts
        if fact.grade is Grade.measured
    )


def _present(customer: Customer) -> Customer:
    if customer.deleted_at is not None:
        raise NotKept(f"The data of customer {customer.id} were deleted.")
    return customer


def _short(field: str, text: str, longest: int = LONGEST) -> None:
    if len(text) > longest:
        raise BadInput.at(Where(field=field), "the text is too long", text[:40], f"up to {longest} signs")
