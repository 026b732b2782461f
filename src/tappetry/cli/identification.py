"""An identification as data, and as tables for a person; `identify` and `kit` show it alike."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from rich.text import Text

from tappetry.cli.tables import heading, table
from tappetry.presentation import words
from tappetry.presentation.as_json import finding_data
from tappetry.presentation.tables import STYLES
from tappetry.records.verdict import Verdict

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rich.console import RenderableType

    from tappetry.identification.applications import Candidate
    from tappetry.records.evidence import Disagreement, Fact
    from tappetry.records.kit import Unknown
    from tappetry.records.verdict import Finding
    from tappetry.services.identify import Identification

#: So much of what hangs on a question is named; the rest is counted.
MOST_SHOWN = 6


def identification_data(found: Identification) -> dict[str, Any]:
    """What the papers say, what stands there, which sources agree, what is unknown, what to ask next."""
    built, engine = found.engine_as_built, found.engine_as_found
    return {
        "verdict": found.verdict,
        "application": built.application or engine.application,
        "engine_as_built": {
            "family": built.family,
            "application": built.application,
            "candidates": list(built.candidates),
        },
        "engine_as_found": {
            "family": engine.family,
            "application": engine.application,
            "facts": [fact_data(fact) for fact in engine.facts.values()],
        },
        "agreement": _agreement(found),
        "candidates": [candidate_data(each) for each in found.candidates],
        "disagreements": [disagreement_data(each) for each in engine.facts.disagreements],
        "findings": [finding_data(each) for each in found.findings],
        "unknowns": list(found.unknown),
        "next_question": None if found.next_question is None else unknown_data(found.next_question),
    }


def candidate_data(candidate: Candidate) -> dict[str, Any]:
    """One application with the evidence for and against it, each with its source."""
    return {
        "family": candidate.family,
        "application": candidate.application,
        "vehicle": candidate.vehicle,
        "agrees": [{"source": each.source, "what": each.show()} for each in candidate.agrees],
        "disagrees": [{"source": each.source, "what": each.show()} for each in candidate.disagrees],
    }


def _agreement(found: Identification) -> dict[str, Any] | None:
    """How far the sources agree on the application of the engine; None while it is open."""
    application = found.engine_as_found.application
    return next((candidate_data(c) for c in found.candidates if c.application == application), None)


def fact_data(fact: Fact) -> dict[str, Any]:
    """One fact with who says so."""
    return {
        "attribute": fact.attribute,
        "value": list(fact.value) if isinstance(fact.value, tuple) else fact.value,
        "unit": fact.unit,
        "as_read": fact.as_read,
        "grade": fact.grade.name,
        "source": fact.source,
    }


def disagreement_data(disagreement: Disagreement) -> dict[str, Any]:
    """Sources that differ on one attribute, the one in charge first."""
    return {
        "attribute": disagreement.attribute,
        "facts": [fact_data(fact) for fact in disagreement.facts],
    }


def unknown_data(unknown: Unknown) -> dict[str, Any]:
    """One question: what to ask, where to look, what hangs on it."""
    return {
        "attribute": unknown.attribute,
        "question": unknown.question,
        "see": unknown.see,
        "hangs_on_it": list(unknown.hangs_on_it),
    }


def identification_tables(found: Identification) -> Iterator[RenderableType]:
    """The verdict, what disagrees and what to ask next."""
    built, engine = found.engine_as_built, found.engine_as_found
    rows = [("verdict", found.verdict), ("by the papers", _which(built.family, built.application))]
    rows.append(("engine that stands there", _which(engine.family, engine.application)))
    yield heading("Identification")
    yield table(("", "what is known"), rows)
    if engine.facts.disagreements:
        yield heading("Sources that disagree; the first is in charge")
        yield table(
            ("what", "value", "says who"),
            (
                (
                    words.title(each.attribute) if fact is each.facts[0] else "",
                    fact.show(),
                    f"{words.GRADES[fact.grade]}: {fact.source}",
                )
                for each in engine.facts.disagreements
                for fact in each.facts
            ),
        )


def question_tables(found: Identification) -> Iterator[RenderableType]:
    """The one question that settles most."""
    question = found.next_question
    if question is not None:
        yield heading("Ask next")
        hanging = [words.title(each) for each in question.hangs_on_it]
        more = [f"{len(hanging) - MOST_SHOWN} more"] if len(hanging) > MOST_SHOWN else []
        hangs = words.listed(hanging[:MOST_SHOWN] + more)
        yield table(("question", "where to look", "hangs on it"), [(question.question, question.see, hangs)])


def candidates_table(found: Identification, most: int = 3) -> Iterator[RenderableType]:
    """The applications that fit best, with the evidence for and against each."""
    if found.candidates:
        yield heading("Applications that the evidence speaks for, the best first")
        yield table(
            ("application", "vehicle", "for it", "against it"),
            (
                (
                    each.application,
                    each.vehicle,
                    "\n".join(agreement.show() for agreement in each.agrees),
                    "\n".join(agreement.show() for agreement in each.disagrees),
                )
                for each in found.candidates[:most]
            ),
        )


def findings_tables(title: str, findings: Iterable[Finding]) -> Iterator[RenderableType]:
    """What gates and identification say; what passes is only named."""
    every = tuple(findings)
    told = [each for each in every if each.verdict is not Verdict.PASS]
    passed = [words.title(each.id) for each in every if each.verdict is Verdict.PASS]
    if every:
        yield heading(title)
    if told:
        yield table(
            ("verdict", "what", "what to do"),
            (
                (
                    Text(_verdict(each), style=STYLES[each.verdict]),
                    _told(each),
                    each.advice,
                )
                for each in told
            ),
        )
    if passed:
        yield Text(f"passed: {words.listed(passed)}", style=STYLES[Verdict.PASS])


def _told(finding: Finding) -> str:
    text = f"{finding.text}: {finding.said}" if finding.said else finding.text
    return f"{text} [{finding.source}]" if finding.source else text


def _verdict(finding: Finding) -> str:
    said = words.VERDICTS[finding.verdict]
    return f"{said}, signed: {finding.signed}" if finding.signed else said


def _which(family: str, application: str) -> str:
    return f"family {family or 'open'}, application {application or 'open'}"
