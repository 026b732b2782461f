"""Identifies an engine from what a person has at hand."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from tappetry.identification.evidence import BLOCK_CASTING
from tappetry.identification.resolve import VIN, Identification
from tappetry.identification.resolve import resolve as identify
from tappetry.jobs.reader import read_job
from tappetry.jobs.values import read_tolerance, read_value
from tappetry.knowledge.model import Knowledge
from tappetry.records.evidence import Fact, Grade
from tappetry.records.problems import Complaints, Where
from tappetry.services.shop import Shop

__all__ = ["Identification", "identify_facts", "identify_file", "read_fact", "stated_facts"]

#: Attributes whose value is a casting number.
CASTING = "casting"


def identify_facts(shop: Shop, facts: Iterable[Fact], unknown: Iterable[str] = ()) -> Identification:
    """Which engine it is, from facts alone; ``unknown`` are questions that nobody could answer."""
    return identify(facts, shop.knowledge.families, shop.knowledge.attributes, unknown)


def identify_file(shop: Shop, file: Path, more: Iterable[Fact] = ()) -> Identification:
    """Which engine a job is about, with further facts from elsewhere."""
    job = read_job(file, shop.knowledge)
    return identify_facts(shop, (*more, *job.facts), job.unknown)


def stated_facts(
    knowledge: Knowledge, vin: str = "", castings: Iterable[str] = (), facts: Iterable[str] = ()
) -> tuple[Fact, ...]:
    """Facts as a person states them in words.

    Parameters
    ----------
    vin : str
        The number on the plate; a fact that is seen.
    castings : iterable of str
        Each a casting number, whose place is looked up in the families, or ``attribute=number``; seen.
    facts : iterable of str
        Each ``attribute=value`` or ``attribute=value@grade``; told where no grade is stated.

    Raises
    ------
    BadInput
        With every complaint: no such attribute, a value that does not suit it, no such grade.
    """
    said = [(f"{VIN}={vin}@{Grade.seen.name}", "VIN")] if vin else []
    said += [(f"{_casting(knowledge, each)}@{Grade.seen.name}", "casting") for each in castings]
    said += [(each, "fact") for each in facts]
    complaints = Complaints()
    read = [_fact(knowledge, words, Where(field=field), complaints) for words, field in said]
    complaints.raise_if_any()
    return tuple(fact for fact in read if fact is not None)


def read_fact(
    knowledge: Knowledge,
    attribute: str,
    raw: Any,
    grade: str,
    source: str,
    where: Where,
    complaints: Complaints,
) -> Fact | None:
    """One fact in the attribute's own unit; None when it cannot be read, and then there is a complaint."""
    schema = knowledge.attributes.get(attribute)
    if schema is None:
        close = get_close_matches(attribute, knowledge.attributes, 1)
        hint = f"; did you mean {close[0]}?" if close else ""
        expected = "" if close else "an attribute of the shop's list"
        complaints.add(where, f"there is no such attribute{hint}", attribute, expected)
        return None
    if grade not in Grade.__members__:
        complaints.add(where, "there is no such grade", grade, "one of " + ", ".join(Grade.__members__))
        return None
    try:
        value, unit, si, as_read = read_value(schema, raw)
        tolerance = read_tolerance(schema, raw)
    except ValueError as error:
        complaints.add(where, str(error), raw)
        return None
    return Fact(attribute, value, Grade[grade], source, as_read, unit, si, tolerance)


def _casting(knowledge: Knowledge, words: str) -> str:
    """A casting as ``attribute=number``; a bare number goes where the families know it."""
    if "=" in words:
        return words
    number = words.strip()
    for family in knowledge.families.values():
        for table in family.tables:
            for position, attribute in enumerate(table.by):
                if attribute.endswith(CASTING) and any(key[position] == number for key in table.rows):
                    return f"{attribute}={number}"
    return f"{BLOCK_CASTING}={number}"


def _fact(knowledge: Knowledge, words: str, where: Where, complaints: Complaints) -> Fact | None:
    attribute, equals, rest = words.partition("=")
    if not equals or not attribute.strip():
        complaints.add(where, "a fact cannot be read", words, "attribute=value or attribute=value@grade")
        return None
    raw, at, grade = rest.rpartition("@")
    if not at:
        raw, grade = rest, Grade.told.name
    return read_fact(knowledge, attribute.strip(), raw.strip(), grade, "as stated", where, complaints)
