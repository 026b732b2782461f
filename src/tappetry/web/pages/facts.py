"""Facts: what is known, from whom, what is not known, and what to ask next."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response

from tappetry.presentation import asked as telling
from tappetry.presentation.words import GRADES
from tappetry.records.evidence import Fact, Facts, Grade
from tappetry.records.family import AttributeSchema
from tappetry.records.problems import Refusal
from tappetry.services.ask_records import Asked, Question
from tappetry.services.ledger import Opened
from tappetry.web.pages.job import Head, Version, head, opened, to_part
from tappetry.web.render import app_of, render
from tappetry.web.security import person

router = APIRouter()

ABOUT = {
    "vehicle": "Papers and vehicle",
    "engine": "The engine",
    "use": "How it is used",
    "test": "Tests at check-in",
    "finding": "Found at tear-down",
}


@dataclass(frozen=True, slots=True)
class Known:
    """One attribute with the fact in charge, what else was said, and whether it is good enough to buy on."""

    attribute: AttributeSchema
    fact: Fact
    others: tuple[Fact, ...]
    grade: str
    enough: bool


@dataclass(frozen=True, slots=True)
class FactsPage:
    """All that is known of a job's engine, by what it is about."""

    head: Head
    engine: str
    findings: tuple[str, ...]
    groups: tuple[tuple[str, tuple[Known, ...]], ...]
    attributes: tuple[tuple[str, tuple[AttributeSchema, ...]], ...]
    grades: tuple[tuple[str, str], ...]
    version: int


@dataclass(frozen=True, slots=True)
class AskPage:
    """The question to ask next, with what hangs on each answer."""

    head: Head
    question: Question | None
    attribute: AttributeSchema | None
    why: str
    how: tuple[str, ...]
    others: tuple[tuple[Question, str], ...]
    refused: str
    version: int
    grades: tuple[tuple[str, str], ...]


@router.get("/jobs/{number}/facts")
def facts(request: Request, number: str) -> Response:
    """The facts of a job."""
    job = opened(request, number)
    ledger = app_of(request).ledger
    identification = ledger.identify(job.job)
    found = identification.engine_as_found
    attributes = ledger.shop.knowledge.attributes
    family = ledger.shop.knowledge.families.get(found.family)
    engine = " ".join(name for name in (family.name if family else "", found.application) if name)
    page = FactsPage(
        head=head(job, "facts"),
        engine=engine or "not identified yet",
        findings=tuple(finding.text for finding in identification.findings),
        groups=_grouped(list(_known(job, attributes.values(), found.facts))),
        attributes=tuple(
            (title, tuple(each for each in attributes.values() if each.about == about))
            for about, title in ABOUT.items()
        ),
        grades=_grades(),
        version=job.kept.versions["facts"],
    )
    return render(request, "facts.html", page, "jobs")


@router.get("/jobs/{number}/ask")
def ask(request: Request, number: str) -> Response:
    """What to ask next: worked out beside the page."""
    job = opened(request, number)
    ledger = app_of(request).ledger
    answered: Asked | None = None
    refused = ""
    try:
        answered = ledger.ask(job.job)
    except Refusal as refusal:
        refused = refusal.message
    question = None if answered is None else answered.next_question
    page = AskPage(
        head=head(job, "facts"),
        question=question,
        attribute=None if question is None else ledger.shop.knowledge.attributes.get(question.attribute),
        why="" if question is None or answered is None else telling.why(question, answered),
        how=() if question is None else tuple(telling.how(question).splitlines()),
        others=()
        if answered is None
        else tuple((q, telling.why(q, answered)) for q in answered.questions[1:]),
        refused=refused,
        version=job.kept.versions["facts"],
        grades=_grades(),
    )
    return render(request, "ask.html", page, "jobs")


@router.post("/jobs/{number}/facts")
def state(
    request: Request,
    number: str,
    attribute: Annotated[str, Form()],
    version: Version,
    value: Annotated[str, Form()] = "",
    grade: Annotated[str, Form()] = "",
    source: Annotated[str, Form()] = "",
) -> Response:
    """State a fact, or that nobody knows it."""
    app_of(request).ledger.state_fact(
        number, attribute, value.strip(), grade, source.strip() or person(request), version, person(request)
    )
    return to_part(number, "facts")


def _grades() -> tuple[tuple[str, str], ...]:
    """The grades of evidence that a person may state, the best first."""
    return tuple(
        (grade.name, GRADES[grade]) for grade in sorted(Grade, reverse=True) if grade.name != "decoded"
    )


def _known(job: Opened, attributes: Iterable[AttributeSchema], found: Facts) -> Iterator[Known]:
    """Every attribute of which something is known, in the shop's order."""
    for attribute in attributes:
        fact = found.get(attribute.id)
        if fact is not None:
            said = [each for each in job.job.facts if each.attribute == attribute.id]
            enough = not attribute.grade or fact.grade >= Grade[attribute.grade]
            others = tuple(each for each in said if each.value != fact.value or each.grade != fact.grade)
            yield Known(attribute, fact, others, GRADES[fact.grade], enough)


def _grouped(known: list[Known]) -> tuple[tuple[str, tuple[Known, ...]], ...]:
    """Facts by what they are about."""
    order = list(ABOUT)
    ordered = sorted(known, key=lambda each: order.index(each.attribute.about))
    return tuple(
        (ABOUT[about], tuple(group))
        for about, group in groupby(ordered, key=lambda each: each.attribute.about)
    )
