"""What if the plan said something else: changes of a job's plan as a person types them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from difflib import get_close_matches
from typing import Any

from tappetry.jobs.reader import read_plan
from tappetry.knowledge import schema
from tappetry.knowledge.model import Knowledge
from tappetry.knowledge.text import parse_yaml
from tappetry.records.job import Job
from tappetry.records.problems import Complaints, Where
from tappetry.services.choices import CAM, WORK

#: Names of a job file that the record of a plan calls otherwise.
RECORD_NAMES = {"refusals": "refused_parts"}


def what_if(job: Job, changes: Iterable[str], knowledge: Knowledge, said_in: str) -> Job:
    """The same job with a plan that says something else.

    Parameters
    ----------
    changes : iterable of str
        Each ``name=value``, with the names and values of a job file: ``phaser=remove``, ``rpm=6800``. Part
        numbers are parted by commas. Nothing after the ``=`` takes the name out of the plan.
    said_in : str
        Where the changes stand, for complaints.

    Raises
    ------
    BadInput
        With every complaint: a name that no plan has, or a value that does not suit it.
    """
    stated = stated_plan(changes, said_in)
    data = {**({CAM: job.plan.cam} if job.plan.conversion else {WORK: list(job.plan.work)}), **stated}
    kept = {name: value for name, value in data.items() if value is not None}
    read = read_plan(kept, knowledge, said_in)
    names = [RECORD_NAMES.get(name, name) for name in stated]
    return replace(job, plan=replace(job.plan, **{name: getattr(read, name) for name in names}))


def stated_plan(changes: Iterable[str], said_in: str) -> dict[str, Any]:
    """Changes of a plan as a job file would state them; None for what is taken out.

    A camshaft takes the place of work that was asked for without one, and work that of a camshaft.

    Raises
    ------
    BadInput
        A change cannot be read, or names what no plan has.
    """
    known = schema.schema("job")["properties"]["plan"]["properties"]
    complaints = Complaints()
    stated: dict[str, Any] = {}
    for change in changes:
        name, equals, text = (word.strip() for word in change.partition("="))
        if not equals:
            complaints.add(Where(said_in), "a change cannot be read", change, "name=value")
        elif name not in known:
            close = get_close_matches(name, known, 1)
            hint = f"; did you mean {close[0]}?" if close else ""
            expected = "" if close else "one of " + ", ".join(known)
            complaints.add(Where(said_in), f"a plan says nothing of this{hint}", name, expected)
        else:
            stated[name] = _value(text, known[name], said_in) if text else None
    complaints.raise_if_any()
    for one, other in ((CAM, WORK), (WORK, CAM)):
        if stated.get(one) is not None:
            stated.setdefault(other, None)
    return stated


def _value(text: str, field: Mapping[str, Any], said_in: str) -> Any:
    """A value as a job file holds it: words as they are typed, everything else as the file's own notation."""
    kinds = field.get("type", "string")
    if "string" in kinds:
        return text
    if kinds == "array" and field["items"]["type"] == "string":
        return [number.strip() for number in text.split(",")]
    return parse_yaml(text, said_in).data
