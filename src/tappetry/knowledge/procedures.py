"""Reads the order of work: every step with its readings, cautions and hard stops; picks those of a job."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tappetry.knowledge.audit_finding import closest
from tappetry.knowledge.fasteners import Truth
from tappetry.knowledge.language import Expression, compile_expression
from tappetry.knowledge.text import Document, Path_
from tappetry.records.problems import Complaints
from tappetry.records.procedure import Reading


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the work, in the order in which the file tells it.

    ``needs`` are the needs whose parts or service the step uses up, ``torques`` the joints that it
    tightens. A ``hard_stop`` is signed before anything goes on. ``after`` are steps that must be done
    before this one wherever a job has them. ``otherwise`` says what to do when a reading is out.
    """

    id: str
    group: str
    title: str
    when: Expression
    instruction: str
    source: str
    operations: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    tool: str = ""
    readings: tuple[Reading, ...] = ()
    accept: str = ""
    otherwise: str = ""
    torques: tuple[str, ...] = ()
    lubricant: str = ""
    cautions: tuple[str, ...] = ()
    hard_stop: str = ""
    after: tuple[str, ...] = ()
    photo: bool = False


def steps_for(procedures: Iterable[Step], truth: Truth) -> tuple[Step, ...]:
    """The steps of one job, in order.

    A step whose condition is not known is among them: a step too many is asked about, a step too few
    is missed.

    Parameters
    ----------
    procedures : iterable of Step
        All that the shop knows.
    truth : callable
        Judges a condition: true, false, or None while it is not known.
    """
    return tuple(step for step in procedures if truth(step.when) is not False)


def stale_readings(procedures: Iterable[Step], changed: Collection[str]) -> tuple[str, ...]:
    """The readings that are worthless once one of these needs was changed, in the order of the work."""
    return tuple(
        reading.id
        for step in procedures
        for reading in step.readings
        if not set(changed).isdisjoint(reading.stale_by)
    )


# ---- from text -----------------------------------------------------------------------------------------


def read_procedures(document: Document, known: Mapping[str, Collection[str]]) -> tuple[Step, ...]:
    """The steps of a checked document.

    Parameters
    ----------
    document : Document
        Checked against its schema.
    known : mapping
        The names that a step may use: of each need, operation, caution, joint, limit and proof.

    Raises
    ------
    BadInput
        A step or reading stands twice, comes before one that it must follow, or names what is not there.
    """
    steps = tuple(_steps(document))
    complaints = Complaints()
    ids = {step.id for step in steps}
    seen: set[str] = set()
    readings: set[str] = set()
    for index, step in enumerate(steps):
        _check_once(document, (index, "id"), "step", step.id, seen, complaints)
        for place, earlier in enumerate(step.after):
            if earlier not in seen - {step.id}:
                problem = f"{step.id} stands before it" if earlier in ids else "there is no such step"
                where = document.where((index, "after", place))
                complaints.add(where, problem, earlier, "a step further up in the file")
        for place, reading in enumerate(step.readings):
            where_id: Path_ = (index, "readings", place, "id")
            _check_once(document, where_id, "reading", reading.id, readings, complaints)
        for path, kind, name in _names(index, step):
            if name not in known[kind]:
                expected = closest(name, known[kind], f"the id of one of the {kind}s")
                complaints.add(document.where(path), f"there is no such {kind}", name, expected)
    complaints.raise_if_any()
    return steps


def _steps(document: Document) -> Iterator[Step]:
    for index, item in enumerate(document.data):
        yield Step(
            id=item["id"],
            group=item["group"],
            title=item["title"],
            when=compile_expression(item.get("when", True), document.where((index, "when"))),
            instruction=item["do"].strip(),
            source=item["source"],
            operations=tuple(item.get("operations", ())),
            needs=tuple(item.get("needs", ())),
            tool=item.get("tool", ""),
            readings=tuple(
                _reading(reading, item.get("stale_by", ())) for reading in item.get("readings", ())
            ),
            accept=item.get("accept", ""),
            otherwise=item.get("otherwise", ""),
            torques=tuple(item.get("torques", ())),
            lubricant=item.get("lubricant", ""),
            cautions=tuple(item.get("cautions", ())),
            hard_stop=item.get("hard_stop", ""),
            after=tuple(item.get("after", ())),
            photo=item.get("photo", False),
        )


def _reading(item: Mapping[str, Any], stale_by: Sequence[str]) -> Reading:
    """One reading; what makes the whole step's readings stale makes this one so too."""
    return Reading(
        id=item["id"],
        title=item["title"],
        unit=item["unit"],
        instrument=item["instrument"],
        each=item.get("each", ""),
        limit=item.get("limit", ""),
        proof=item.get("proof", ""),
        formula=item.get("formula", ""),
        stale_by=(*stale_by, *item.get("stale_by", ())),
    )


def _check_once(
    document: Document, path: Path_, kind: str, name: str, seen: set[str], complaints: Complaints
) -> None:
    """Complain of a name that was seen before; it has been seen now."""
    if name in seen:
        complaints.add(document.where(path), f"the {kind} stands twice", name, f"each {kind} once")
    seen.add(name)


def _names(index: int, step: Step) -> Iterator[tuple[Path_, str, str]]:
    """Everything that a step names: where, of which kind, and the name."""
    for key, kind, names in (
        ("needs", "need", step.needs),
        ("operations", "operation", step.operations),
        ("cautions", "caution", step.cautions),
        ("torques", "joint", step.torques),
    ):
        for place, name in enumerate(names):
            yield (index, key, place), kind, name
    for number, reading in enumerate(step.readings):
        here: Path_ = (index, "readings", number)
        for place, name in enumerate(reading.stale_by):
            yield (*here, "stale_by", place), "need", name
        for kind, name in (("limit", reading.limit), ("proof", reading.proof)):
            if name:
                yield (*here, kind), kind, name
