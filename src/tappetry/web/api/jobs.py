"""Jobs for programs: facts, plan, kit, proof and quotes; a change names the version that it was made on."""

from __future__ import annotations

import json
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request
from pydantic import BaseModel, Field

from tappetry.presentation.as_json import kit_data, proof_data
from tappetry.presentation.asked import asked_data
from tappetry.presentation.compared import difference_data, side_data
from tappetry.presentation.differences import Teller
from tappetry.records.problems import Refusal
from tappetry.services.ledger import JobRow, Opened, QuoteRow
from tappetry.web.api.answers import PREFIX, PROBLEMS, Answer, IfMatch, answered, version_of
from tappetry.web.render import app_of
from tappetry.web.security import person

router = APIRouter(prefix=f"{PREFIX}/jobs", responses=PROBLEMS, tags=["jobs"])
Number = Annotated[str, Path(max_length=41, description="the number of the job")]
Text = Annotated[str, Field(max_length=2_000)]


class StatedFact(BaseModel):
    """A fact, in shop notation; an empty value says that nobody knows it."""

    attribute: Text
    value: Text = ""
    grade: Text = ""
    source: Text = ""


class PlanChange(BaseModel):
    """Changes of a plan by the names of a job file, as typed; an empty value takes the name out."""

    changes: dict[Text, Text] = Field(min_length=1, max_length=40)
    why: Text = ""


class Why(BaseModel):
    """Why it is done."""

    why: Text = ""


@router.get("")
def jobs(request: Request, q: Annotated[str, Query(max_length=200)] = "") -> Answer:
    """The jobs that hold some words, the latest change first."""
    return answered(request, {"jobs": [row_data(row) for row in app_of(request).ledger.find(q)]})


@router.post("", status_code=201)
def open_job(request: Request, document: dict[str, Any]) -> Answer:
    """Open a job from the content of a job file."""
    kept = app_of(request).ledger.new_job(json.dumps(document), person(request))
    found = app_of(request).ledger.job(kept.number)
    return answered(request, _job(found), 201, place=f"{PREFIX}/jobs/{kept.number}")


@router.get("/{number}")
def job(request: Request, number: Number) -> Answer:
    """A job as it stands, with the versions of its parts."""
    return answered(request, _job(app_of(request).ledger.job(number)))


@router.get("/{number}/history")
def history(request: Request, number: Number) -> Answer:
    """What was done to a job, the latest first."""
    acts = app_of(request).ledger.history(number)
    told = [
        {
            "at": act.at.isoformat(),
            "who": act.who,
            "what": act.what,
            "why": act.why,
            "fields": [{"name": each.name, "old": each.old, "new": each.new} for each in act.fields],
        }
        for act in acts
    ]
    return answered(request, {"acts": told})


@router.get("/{number}/facts")
def facts(request: Request, number: Number) -> Answer:
    """The facts of a job, as they were stated."""
    return _facts(request, app_of(request).ledger.job(number))


@router.post("/{number}/facts")
def state_fact(request: Request, number: Number, stated: StatedFact, if_match: IfMatch = "") -> Answer:
    """State a fact beside those that stand."""
    version = version_of(if_match, "facts")
    ledger = app_of(request).ledger
    words = (stated.attribute, stated.value, stated.grade, stated.source)
    ledger.state_fact(number, *words, version, person(request))
    return _facts(request, ledger.job(number))


@router.get("/{number}/ask")
def ask(request: Request, number: Number) -> Answer:
    """What to ask about a job next, and what may be ordered now."""
    ledger = app_of(request).ledger
    return answered(request, asked_data(ledger.ask(ledger.job(number).job)))


@router.get("/{number}/plan")
def plan(request: Request, number: Number) -> Answer:
    """The plan of a job, and what it may choose."""
    return _plan(request, app_of(request).ledger.job(number))


@router.patch("/{number}/plan")
def change_plan(request: Request, number: Number, change: PlanChange, if_match: IfMatch = "") -> Answer:
    """Change the plan."""
    version = version_of(if_match, "plan")
    ledger = app_of(request).ledger
    said = [f"{name}={value}" for name, value in change.changes.items()]
    ledger.change_plan(number, said, version, person(request), change.why)
    return _plan(request, ledger.job(number))


@router.get("/{number}/plan/try")
def try_plan(
    request: Request,
    number: Number,
    change: Annotated[list[str], Query(min_length=1, max_length=40, description="name=value, as typed")],
) -> Answer:
    """What a changed plan would come to, and what changes; nothing is kept."""
    ledger = app_of(request).ledger
    now, then, difference = ledger.tried(ledger.job(number), change)
    teller = Teller(ledger.shop.knowledge, ledger.shop.catalogue.suppliers)
    changed = None if difference is None else difference_data(difference, teller)
    return answered(request, {"now": side_data(now), "then": side_data(then), "difference": changed})


@router.get("/{number}/kit")
def kit(request: Request, number: Number) -> Answer:
    """The kit of a job as it stands, with reasons, proofs and price."""
    ledger = app_of(request).ledger
    return answered(request, kit_data(ledger.kit(ledger.job(number).job).kit))


@router.post("/{number}/kit", status_code=201)
def keep_kit(request: Request, number: Number, why: Why) -> Answer:
    """Keep the kit as it stands."""
    row = app_of(request).ledger.keep_kit(number, person(request), why.why)
    said = {"number": row.number, "total": str(row.total), "currency": row.currency}
    return answered(request, said, 201)


@router.get("/{number}/proof")
def proof(request: Request, number: Number) -> Answer:
    """Every check of the kit of a job."""
    ledger = app_of(request).ledger
    found = ledger.kit(ledger.job(number).job).kit.proofs
    return answered(request, {"proofs": [proof_data(each) for each in found]})


@router.get("/{number}/quotes")
def quotes(request: Request, number: Number) -> Answer:
    """The quotes that were sent, as they were sent."""
    rows = app_of(request).ledger.quotes(number)
    return answered(request, {"quotes": [_quote(row) for row in rows]})


@router.post("/{number}/quotes", status_code=201)
def send_quote(request: Request, number: Number, why: Why) -> Answer:
    """Send the quote of a job as it stands."""
    row = app_of(request).ledger.send_quote(number, person(request), why.why)
    return answered(request, {"number": row.number, "total": str(row.total), "currency": row.currency}, 201)


def row_data(row: JobRow) -> dict[str, Any]:
    """A job in a list."""
    return {"job": row.number, "title": row.title, "customer": row.customer, "state": row.state}


def _job(opened: Opened) -> dict[str, Any]:
    kept = opened.kept
    return {"job": kept.number, "state": kept.state, "versions": kept.versions, "document": kept.document}


def _facts(request: Request, opened: Opened) -> Answer:
    version = opened.kept.versions["facts"]
    data = {"facts": opened.kept.document["facts"], "version": version}
    return answered(request, data, tag=f"facts-{version}")


def _plan(request: Request, opened: Opened) -> Answer:
    version = opened.kept.versions["plan"]
    try:
        choices = app_of(request).ledger.choices(opened.job)
    except Refusal:  # which engine it is has to be known first; what was asked for is done
        choices = ()
    data = {
        "plan": opened.kept.document["plan"],
        "version": version,
        "choices": {each.field: [each.now, *each.others] for each in choices},
    }
    return answered(request, data, tag=f"plan-{version}")


def _quote(row: QuoteRow) -> dict[str, Any]:
    return {
        "number": row.number,
        "total": str(row.total),
        "currency": row.currency,
        "last_day": row.last_day.isoformat(),
        "sent_by": row.entry.who,
        "sent_at": row.entry.at.isoformat(),
        "quote": row.document,
    }
