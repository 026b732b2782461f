"""What stories share: the jobs of the invented shop, what came of them, and where to look in a kit."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from tappetry.assembly.values import Values
from tappetry.jobs.reader import read_job
from tappetry.kitting.checker import check_kit
from tappetry.records.job import Job
from tappetry.records.kit import Kit, Line
from tappetry.records.problems import Refusal
from tappetry.records.verdict import Finding, Proof
from tappetry.services.kits import KitResult, identify_job, kit_for_file, must_be_complete, request_of
from tests.kitting.support import Ask, demo


def fact(value: Any, grade: str, source: str) -> dict[str, Any]:
    """A fact as a job states it."""
    return {"value": value, "grade": grade, "source": source}


# ---- jobs -------------------------------------------------------------------------------------------------


@cache
def of_job(name: str) -> KitResult:
    """One of the invented shop's own jobs."""
    return kit_for_file(demo(), demo().jobs / f"{name}.yaml")


def job_of(name: str) -> Job:
    """One of the invented shop's own jobs, not worked yet."""
    return read_job(demo().jobs / f"{name}.yaml", demo().knowledge)


@cache
def result(ask: Ask) -> KitResult:
    """What the service makes of a job's file."""
    return ask.kit()


def of(ask: Ask) -> Kit:
    """The kit of a job's file."""
    return result(ask).kit


def refusal(ask: Ask) -> Refusal:
    """The refusal of a job's file."""
    with pytest.raises(Refusal) as refused:
        of(ask)
    return refused.value


def no_paper(ask: Ask) -> Refusal:
    """Why no quote and no order is written of a job."""
    with pytest.raises(Refusal) as refused:
        must_be_complete(demo(), result(ask))
    return refused.value


def grounds(refused: Refusal) -> str:
    """The grounds of a refusal, one a line, each behind its owner."""
    return "\n".join(f"{ground.owner}: {ground.text}" for ground in refused.grounds)


def requested(job: Job | Ask) -> Any:
    """The question of a plan to the solver."""
    stated = job.job() if isinstance(job, Ask) else job
    return request_of(demo(), stated, identify_job(demo(), stated))


def value(job: Job | Ask, name: str) -> Any:
    """A named value that hangs on no part."""
    request = requested(job)
    return Values(request.knowledge, request.fixed).named(name, {})


def checked(kit: Kit, job: Job | Ask) -> list[str]:
    """What the independent checker says of a kit, as rule and text."""
    request = requested(job)
    complaints = check_kit(kit, request.fixed, request.plan, request.knowledge, request.catalogue)
    return [f"{complaint.rule}: {complaint.text}" for complaint in complaints]


# ---- in a kit ---------------------------------------------------------------------------------------------


def line_of(kit: Kit, part: str) -> Line:
    """The line of a part."""
    return next(line for line in kit.lines if line.part == part)


def proof_of(kit: Kit, name: str) -> Proof:
    """A proof by its id."""
    return next(proof for proof in kit.proofs if proof.id == name)


def finding_of(kit: Kit, name: str) -> Finding:
    """A finding by its id."""
    return next(finding for finding in kit.findings if finding.id == name)


def told(kit: Kit, to: str) -> dict[str, str]:
    """What somebody is told in writing, by the note's id."""
    return {note.id: note.text for note in kit.notes if note.to == to}
