"""A new job as a commented text, made from the shop's own list of attributes and the schema of jobs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from itertools import chain, groupby
from pathlib import Path
from typing import Any

from tappetry.knowledge.model import Knowledge
from tappetry.knowledge.schema import schema
from tappetry.records.family import AttributeSchema
from tappetry.records.problems import BadInput, Where
from tappetry.services.files import save
from tappetry.services.shop import Shop

HEAD = """\
# A job: one vehicle, what is known of it and from whom, and what is to be done.
# Fill in what stands empty ("") and take the # from the lines that you need; all others may go.
job: ""            # the job's number
# title: ""        # one line that says what it is about
date: "{today}"
# customer: ""
place: ""          # place of registration; it decides the legal note, and no quote is made without one
road_use: true     # false for a vehicle that never runs on a public road
"""

FACTS = """
# Each fact has a value, a grade and a source. Grades, from weak to strong:
#   assumed   nobody looked        told      the customer says so     decoded   from VIN, plate or papers
#   seen      somebody looked      measured  with an instrument, which the source names
# Several sources of one fact are a list; the best grade is in charge and the others stay on the sheet.
# What nobody knows is the word unknown in place of the braces.
# "to buy on" is the lowest grade on which a part may be bought.
facts:
"""

PLAN = """
plan:
"""

REST = """
# What was measured at the bench; the same as a fact of grade measured.
# measurements:
#   attribute: 1.800 in ±0.003 in          (± says how far it may be off, where somebody knows)

# The owner's written reason to go on where a check asks for a signature.
# signatures:
#   check: reason
"""

ABOUT = {
    "vehicle": "Papers and vehicle",
    "engine": "The engine",
    "use": "How it is used",
    "test": "Tests at check-in",
    "finding": "Found at tear-down; until somebody makes a finding, the line that it would open stays closed",
}


def job_template(shop: Shop, today: date) -> str:
    """A commented job that passes the schema as soon as its empty places are filled."""
    attributes = list(shop.knowledge.attributes.values())
    parts = (_facts(attributes), [PLAN], _plan(shop.knowledge), [REST])
    return HEAD.format(today=today.isoformat()) + FACTS + "".join(chain.from_iterable(parts))


def write_job(shop: Shop, file: Path, today: date) -> Path:
    """Write a new job to a file; one that is there already is never written over."""
    if file.exists():
        raise BadInput.at(Where(str(file)), "there is such a file already", file.name, "a new file name")
    return save(file, job_template(shop, today).encode())


def _facts(attributes: Iterable[AttributeSchema]) -> Iterator[str]:
    ordered = sorted(attributes, key=lambda each: list(ABOUT).index(each.about))
    for about, group in groupby(ordered, key=lambda each: each.about):
        yield f"\n  # ---- {ABOUT[about]}\n"
        for attribute in group:
            yield f"  # {'; '.join(_hints(attribute))}\n"
            if attribute is ordered[0]:  # so that the mapping is not empty
                yield f"  {attribute.id}: unknown\n"
            else:
                yield f"  # {attribute.id}: {{value: , grade: , source: }}\n"


def _hints(attribute: AttributeSchema) -> Iterator[str]:
    """What a person wants to know in order to state the attribute."""
    yield attribute.ask or attribute.title
    if attribute.values:
        yield "one of " + ", ".join(attribute.values)
    elif attribute.type == "truth":
        yield "yes or no"
    elif attribute.type == "list":
        yield "a list [.., ..]"
    elif attribute.unit:
        yield f"a number without a unit is in {attribute.unit}"
    if attribute.see:
        yield f"see: {attribute.see}"
    if attribute.grade:
        yield f"to buy on: {attribute.grade}"


def _plan(knowledge: Knowledge) -> Iterator[str]:
    plan: dict[str, Any] = schema("job")["properties"]["plan"]
    needed = {*plan["oneOf"][0]["required"]}
    for name, stated in plan["properties"].items():
        hint = stated.get("description", "")
        choices = stated.get("enum", ())
        if name == "package":
            choices = tuple(knowledge.book.packages)
        if name == "work":
            choices = tuple(knowledge.book.work)
        if choices:
            hint = "; ".join(each for each in (hint, "one of " + ", ".join(choices)) if each)
        start = "  " if name in needed else "  # "
        yield f"{start}{name}: {_empty(stated)}{f'   # {hint}' if hint else ''}\n"


def _empty(stated: dict[str, Any]) -> str:
    """The empty value of a kind."""
    kinds = {"array": "[]", "object": "{}", "number": ""}
    return kinds.get(str(stated.get("type", "string")), '""')
