"""Proof: every check as a bar against its limit, with its band, and every number opened."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Form, Request, Response

from tappetry.presentation import words
from tappetry.presentation.bars import LIMIT_AT, Bar, bar
from tappetry.presentation.charts.chart import Chart
from tappetry.presentation.drawn import drawings
from tappetry.records.problems import Refusal
from tappetry.records.verdict import Finding, Proof, Verdict
from tappetry.services.ledger import Opened
from tappetry.web.charts import Figure, answer
from tappetry.web.pages.job import Head, Version, head, kit_or_refusal, opened, to_part
from tappetry.web.render import app_of, render
from tappetry.web.security import person
from tappetry.web.units import measures_of

router = APIRouter()

#: What needs a person comes first.
ORDER = (
    Verdict.STOP,
    Verdict.SIGN,
    Verdict.UNKNOWN,
    Verdict.WARN,
    words.DOUBT,
    Verdict.NOTE,
    Verdict.PASS,
)
#: A bar is drawn this wide; the page scales it.
WIDTH = 400


@dataclass(frozen=True, slots=True)
class Drawn:
    """Where things lie on a bar, in its own lengths."""

    limit: float
    value: float
    low: float
    width: float
    beyond: int


@dataclass(frozen=True, slots=True)
class Check:
    """One proof with what it comes to, its bar and what is said of it."""

    proof: Proof
    outcome: str
    bar: Drawn | None
    said: str
    remedies: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ProofPage:
    """All checks of a job's kit, those that need a person first."""

    head: Head
    checks: tuple[Check, ...]
    findings: tuple[Finding, ...]
    counts: tuple[tuple[str, int], ...]
    note: str
    figures: tuple[Figure, ...]
    refusal: Refusal | None
    version: int
    sheet: int


@router.get("/jobs/{number}/proof")
def proof(request: Request, number: str) -> Response:
    """The checks of a job's kit."""
    job = opened(request, number)
    kit, refusal = kit_or_refusal(request, job.job)
    charts = {} if kit is None else _charts(request, job)
    proofs = (
        () if kit is None else tuple(sorted(kit.proofs, key=lambda each: ORDER.index(words.outcome(each))))
    )
    findings = () if kit is None else kit.findings
    outcomes = [words.outcome(each) for each in proofs] + [each.verdict for each in findings]
    page = ProofPage(
        head=head(job, "proof"),
        checks=tuple(
            Check(
                each,
                words.outcome(each),
                _drawn(bar(each)),
                words.doubt(each),
                tuple(words.remedy(remedy) for remedy in each.remedies if remedy.good),
            )
            for each in proofs
        ),
        findings=tuple(sorted(findings, key=lambda each: ORDER.index(each.verdict))),
        counts=tuple((outcome, count) for outcome in ORDER if (count := outcomes.count(outcome))),
        note=words.doubt_note(proofs),
        figures=tuple(
            Figure(f"/jobs/{quote(number, safe='')}/proof/{name}", chart, told)
            for name, (chart, told) in charts.items()
        ),
        refusal=refusal,
        version=job.kept.versions["plan"],
        sheet=job.kept.versions["sheet"],
    )
    return render(request, "proof.html", page, "jobs")


@router.get("/jobs/{number}/proof/{name}.{ending}")
def chart(
    request: Request, number: str, name: str, ending: str, theme: str = "light", size: str = "wide"
) -> Response:
    """What checks are drawn of: valves beside their pistons, the spring over its travel."""
    found = _charts(request, opened(request, number)).get(name)
    return answer(None if found is None else found[0], ending, theme, size)


@router.post("/jobs/{number}/sign")
def sign(
    request: Request,
    number: str,
    check: Annotated[str, Form()],
    reason: Annotated[str, Form(min_length=3)],
    sheet: Version,
) -> Response:
    """Write down the owner's reason to go on."""
    app_of(request).ledger.sign(number, check, reason.strip(), sheet, person(request))
    return to_part(number, "proof")


def _charts(request: Request, job: Opened) -> dict[str, tuple[Chart, tuple[str, ...]]]:
    """The charts of a job's checks by their names, each with what it says in words."""
    return drawings(app_of(request).ledger.kit(job.job), measures_of(request))


def _drawn(found: Bar | None) -> Drawn | None:
    if found is None:
        return None
    return Drawn(
        limit=round(LIMIT_AT * WIDTH, 1),
        value=round(found.value * WIDTH, 1),
        low=round(found.low * WIDTH, 1),
        width=round((found.high - found.low) * WIDTH, 1),
        beyond=found.beyond,
    )
