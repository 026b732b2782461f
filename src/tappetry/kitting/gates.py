"""Gates before a quote: law, health of the engine, sense of the plan; STOP refuses, UNKNOWN stays open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from tappetry.assembly.sentences import tell
from tappetry.assembly.values import Values
from tappetry.kitting.unknowns import unknown_fact
from tappetry.knowledge.language import Expression, compile_expression
from tappetry.knowledge.model import Gate, Knowledge
from tappetry.records.kit import Unknown
from tappetry.records.problems import Where
from tappetry.records.verdict import Finding, Verdict

Views = Mapping[str, Mapping[str, Any]]


def gate_findings(
    values: Values, views: Views, signatures: Mapping[str, str], before: bool
) -> Iterator[Finding]:
    """What the gates say.

    With ``before`` only the gates that do not read any chosen part, so that a plan that makes no
    sense is refused before a kit is sought; else the others.
    """
    for gate in values.knowledge.gates:
        if bool(values.reads([gate.when, gate.that])) != before:
            finding = _finding(values, gate, views, signatures)
            if finding is not None:
                yield finding


def _finding(values: Values, gate: Gate, views: Views, signatures: Mapping[str, str]) -> Finding | None:
    if values.maybe(gate.when, views) is False:
        return None
    holds = values.maybe(gate.that, views)
    if holds is True:
        return Finding(gate.id, Verdict.PASS, gate.why, gate.source)
    verdict = Verdict.UNKNOWN if holds is None else Verdict[gate.severity]
    said = "" if gate.says is None or holds is None else tell(values, gate.says, views)
    signed = signatures.get(gate.id, "")
    return Finding(gate.id, verdict, gate.why, gate.source, gate.advice, signed, gate.offer, said)


def plan_read(values: Values, gate: Gate) -> frozenset[str]:
    """The fields of the plan that a gate reads."""
    expressions = [expression for expression in (gate.when, gate.that) if expression is not None]
    names = [name.partition(".") for name, _ in values.facts(expressions)]
    return frozenset(member for root, _, member in names if root == "plan")


def gate_unknowns(values: Values, findings: Iterable[Finding]) -> Iterator[Unknown]:
    """The facts that are missing for gates that stay open."""
    stated = values.fixed["stated"]
    hanging: dict[str, list[str]] = {}
    gates = {gate.id: gate for gate in values.knowledge.gates}
    for finding in findings:
        gate = gates.get(finding.id)
        if gate is not None and finding.verdict is Verdict.UNKNOWN:
            for read in gate.that.reads:
                if read.root in {"engine", "stated"} and read.member not in stated:
                    hanging.setdefault(read.member, []).append(gate.id)
    for name, ids in hanging.items():
        yield unknown_fact(values.knowledge, name, ids)


def legal_notes(knowledge: Knowledge, values: Values, place: str) -> list[Mapping[str, Any]]:
    """The shop's dated notes that fit place and plan; none means that no quote may be made."""
    views: Views = {}
    fitting = []
    for note in knowledge.legal:
        if not _covers(note.get("places", []), place) or _covers(note.get("except", []), place):
            continue
        if values.maybe(_condition(note, "legal.yaml"), views) is not False:
            fitting.append(note)
    return fitting


def legal_finding(notes: list[Mapping[str, Any]], place: str, signatures: Mapping[str, str]) -> Finding:
    """The verdict of the legal gate: STOP without a note, else the strictest of the notes."""
    if not notes:
        where = f"for {place}" if place else "because the job states no place of registration"
        return Finding(
            "legal-note",
            Verdict.STOP,
            f"there is no dated legal note {where}: a plan is not quoted without one",
            "shop",
            "state the place of registration, or let the owner write and date a note for it",
        )
    order = [Verdict.STOP, Verdict.SIGN, Verdict.NOTE]
    strictest = min((Verdict[str(note["verdict"])] for note in notes), key=order.index)
    strict = [str(note["text"]).strip() for note in notes if note["verdict"] == strictest]
    return Finding("legal-note", strictest, " ".join(strict), "shop", signed=signatures.get("legal-note", ""))


def legal_text(notes: list[Mapping[str, Any]]) -> str:
    """The notes as they print: text, date, sources."""
    return "\n\n".join(
        f"{str(note['text']).strip()} (dated {note['date']}; {'; '.join(note.get('sources', []))})"
        for note in notes
    )


def cautions(knowledge: Knowledge, values: Values, views: Views) -> tuple[str, ...]:
    """The cautions that belong to this work; one whose condition is unknown is shown."""
    return tuple(
        f"{str(item['work']).capitalize()}: {str(item['text']).strip()} [{item['source']}]"
        for item in knowledge.cautions
        if values.maybe(_condition(item, "cautions.yaml"), views) is not False
    )


def _condition(item: Mapping[str, Any], file: str) -> Expression:
    return compile_expression(item.get("when", True), Where(file, 0, str(item.get("id", ""))))


def _covers(places: list[Any], place: str) -> bool:
    """Whether a place is named, or lies in a country that is named (``US`` covers ``US-NV``)."""
    name = place.strip().lower()
    return any(name == str(p).lower() or name.startswith(f"{str(p).lower()}-") for p in places)
