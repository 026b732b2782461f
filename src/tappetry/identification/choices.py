"""The values that an attribute may have: listed, told by the tables of the family, or one between limits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import floor

from tappetry.identification.evidence import APPLICATION, BLOCK_CASTING, TRANSMISSION
from tappetry.records.evidence import Value
from tappetry.records.family import Application, AttributeSchema, Family

#: Limits that a number is held against, and those of them that it has to be equal to.
Limits = tuple[frozenset[float], frozenset[float]]
NUMBERS = frozenset({"quantity", "count"})


@dataclass(frozen=True, slots=True)
class Choice:
    """One value that an attribute may have, in words; a number may stand for all between two limits."""

    value: Value
    words: str
    low: float | None = None
    high: float | None = None

    @property
    def is_span(self) -> bool:
        """Whether it stands for more than itself."""
        return self.low is not None or self.high is not None


def choices(
    schema: AttributeSchema,
    family: Family | None,
    application: Application | None = None,
    limits: Limits | None = None,
) -> tuple[Choice, ...]:
    """All values that may be tried for an attribute; none where they cannot be listed.

    Parameters
    ----------
    schema : AttributeSchema
        The attribute.
    family : Family, optional
        Its tables say which texts and nominal numbers there are; a choice that selects rows of its tables
        can be nothing but one of these.
    application : Application, optional
        Its castings and transmissions, with the blocks sold as replacement.
    limits : (frozenset of float, frozenset of float), optional
        Of a number that is only compared: the limits, and those that it has to equal.
    """
    if schema.type in NUMBERS and limits is not None:
        return tuple(between(schema, *limits))
    if schema.type == "truth":
        return Choice(True, "yes"), Choice(False, "no")
    said = _of_application(schema.id, family, application)
    if not said and schema.type == "choice":
        said = tuple(_keys(schema, family)) or schema.values
    elif not said and schema.type != "list":
        said = tuple(_said(schema, family))
    return tuple(Choice(value, _words(schema, value)) for value in dict.fromkeys(said))


def between(schema: AttributeSchema, limits: Iterable[float], exact: Iterable[float]) -> Iterator[Choice]:
    """A number on each side of every limit, in rising order, and each number that it may have to equal.

    A limit stands for itself too where it is the least or the largest value there is, and where only whole
    numbers are.
    """
    whole = schema.type == "count"
    cuts = sorted(limit for limit in {*limits, *exact} if _inside(schema, limit))
    ends = [limit for limit in cuts if limit in (schema.min, schema.max)]
    found = [Choice(limit, _number(schema, limit)) for limit in {*exact, *ends, *(cuts if whole else ())}]
    for low, high in pairwise([None, *cuts, None]) if cuts else ():
        value = _midway(schema, low, high, whole)
        if value is not None and _inside(schema, value):
            found.append(Choice(value, _span(schema, low, high), low, high))
    yield from sorted(found, key=lambda choice: float(str(choice.value)))


def joined(schema: AttributeSchema, those: Sequence[Choice]) -> str:
    """Several choices in words; spans that follow on each other become one."""
    words: list[str] = []
    begun: Choice | None = None
    for choice in those:
        follows = begun is not None and choice.is_span and choice.low is not None and begun.high == choice.low
        if begun is not None and follows:
            begun = Choice(begun.value, "", begun.low, choice.high)
            words[-1] = _span(schema, begun.low, begun.high)
        else:
            begun = choice if choice.is_span else None
            words.append(choice.words)
    return f"{', '.join(words[:-1])} or {words[-1]}" if len(words) > 1 else words[0]


def _inside(schema: AttributeSchema, limit: float) -> bool:
    return (schema.min is None or schema.min <= limit) and (schema.max is None or limit <= schema.max)


def _midway(schema: AttributeSchema, low: float | None, high: float | None, whole: bool) -> float | None:
    """A value between two limits; one beyond the last lies a tenth of it further, or as far as there is."""
    if whole:
        least = (schema.min or 0.0) - 1 if low is None else low
        value = float(floor(least) + 1)
        return value if high is None or value < high else None
    if low is None and high is not None:
        low = high - max(1.0, abs(high)) if schema.min is None else schema.min
    elif high is None and low is not None:
        step = max(1.0, abs(low)) / 5
        high = low + step if schema.max is None else min(schema.max, low + step)
    assert low is not None
    assert high is not None
    value = (low + high) / 2
    return value if low < value < high else None


def _span(schema: AttributeSchema, low: float | None, high: float | None) -> str:
    if low is None and high is None:
        return "any"
    if low is None:
        return f"under {_number(schema, high)}"
    if high is None:
        return f"over {_number(schema, low)}"
    return f"{low:g} to {_number(schema, high)}"


def _number(schema: AttributeSchema, value: float | None) -> str:
    return f"{value:g} {schema.unit}".strip()


def _words(schema: AttributeSchema, value: Value) -> str:
    return _number(schema, value) if isinstance(value, float) else str(value)


# ---- what the family says --------------------------------------------------------------------------------


def _of_application(
    attribute: str, family: Family | None, application: Application | None
) -> tuple[Value, ...]:
    if application is None or family is None:
        return ()
    listed = {BLOCK_CASTING: application.castings, TRANSMISSION: application.transmissions}
    found = listed.get(attribute, ())
    return (*found, *family.service_castings) if found and attribute == BLOCK_CASTING else found


def _said(schema: AttributeSchema, family: Family | None) -> Iterator[Value]:
    """Every value that the text of a family names for an attribute, in the order of the text.

    What single applications say of a number is no list of what it may be.
    """
    if family is None:
        return
    if schema.id == APPLICATION:
        yield from (application.id for application in family.applications)
    rows = [family.attributes, *(row for table in family.tables for row in table.rows.values())]
    rows += [] if schema.type in NUMBERS else [each.attributes for each in family.applications]
    yield from (row[schema.id] for row in rows if schema.id in row)
    yield from _keys(schema, family)
    for need in family.fitted.values():
        for table in need.tables:
            yield from _keyed(schema, table.by, table.rows)
    for application in family.applications:
        yield from _of_application(schema.id, family, application)


def _keys(schema: AttributeSchema, family: Family | None) -> Iterator[Value]:
    """The values that select rows of a family's tables."""
    for table in family.tables if family is not None else ():
        yield from _keyed(schema, table.by, table.rows)


def _keyed(
    schema: AttributeSchema, by: tuple[str, ...], rows: Mapping[tuple[str, ...], object]
) -> Iterator[Value]:
    if schema.id in by:
        place = by.index(schema.id)
        for key in rows:
            yield float(key[place]) if schema.type in NUMBERS else key[place]
