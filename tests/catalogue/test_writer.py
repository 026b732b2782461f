"""What is written and read again is the same, whatever the parts are."""

from __future__ import annotations

import math
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.catalogue.columns import STATUSES
from tappetry.catalogue.reader import parse_parts, read_parts, read_suppliers
from tappetry.catalogue.writer import write_parts
from tappetry.records.evidence import Value
from tappetry.records.part import Content, Fill, Part
from tests.catalogue.shop import ATTRIBUTES, KNOWN, SHOP, SUPPLIERS, demo_known, parts_of

PRINTABLE = st.characters(exclude_categories=("C", "Zl", "Zp"), exclude_characters="\u00a0")
TEXT = (
    st.text(PRINTABLE, min_size=1, max_size=12)
    .map(lambda text: " ".join(text.split()))
    .filter(lambda text: text != "" and text.isprintable())
)
WORD = TEXT.filter(lambda text: not set(text) & set(";|()="))
NUMBER = st.floats(allow_nan=False, allow_infinity=False, min_value=-1e6, max_value=1e6)
MONEY = st.integers(min_value=1, max_value=10**8).map(lambda cents: Decimal(cents) / 100)


def value_of(attribute: str) -> st.SearchStrategy[Value]:
    schema = ATTRIBUTES[attribute]
    by_type: dict[str, st.SearchStrategy[Value]] = {
        "quantity": NUMBER.map(lambda number: number + 0.0),
        "count": st.integers(min_value=0, max_value=10**6).map(float),
        "truth": st.booleans(),
        "list": st.lists(WORD, min_size=1, max_size=3).map(tuple),
        "text": WORD,
        "choice": st.sampled_from(schema.values or ("-",)),
    }
    return by_type[schema.type]


ATTRIBUTE_VALUES = st.lists(st.sampled_from(sorted(ATTRIBUTES)), unique=True, max_size=5).flatmap(
    lambda names: st.fixed_dictionaries({name: value_of(name) for name in names})
)


def fills() -> st.SearchStrategy[tuple[Fill, ...]]:
    one = st.builds(
        Fill,
        need=st.sampled_from(sorted(KNOWN.needs)),
        pieces=st.integers(1, 99),
        attributes=ATTRIBUTE_VALUES,
    )
    return st.lists(one, max_size=3, unique_by=lambda fill: fill.need).map(tuple)


CONTENT = st.builds(Content, item=WORD, pieces=st.integers(1, 99), attributes=ATTRIBUTE_VALUES)
PART = st.builds(
    Part,
    number=TEXT,
    supplier=st.sampled_from(sorted(SUPPLIERS)),
    description=TEXT,
    fills=fills(),
    unit=TEXT,
    pieces=st.integers(1, 999),
    cost=st.just(Decimal("0.01")),
    price=MONEY,
    lead_days=st.integers(0, 99),
    attributes=ATTRIBUTE_VALUES,
    fits=st.dictionaries(
        st.sampled_from(sorted(KNOWN.engine)), st.lists(WORD, min_size=1, max_size=3).map(tuple)
    ),
    contents=st.lists(CONTENT, max_size=3).map(tuple),
    core_charge=MONEY,
    returnable=st.booleans(),
    tax_class=st.sampled_from(sorted(KNOWN.tax_classes)),
    status=st.sampled_from([status for status in STATUSES if status != "superseded"]),
    note=st.one_of(st.just(""), TEXT),
)


@pytest.mark.slow
@given(PART)
def test_a_part_is_read_as_it_was_written(part: Part) -> None:
    assert parse_parts(write_parts([part]), "parts.csv", KNOWN, SUPPLIERS) == (part,)


@given(NUMBER)
def test_a_number_is_written_without_exponent_and_read_to_the_same_bits(number: float) -> None:
    (part,) = parts_of({})
    text = write_parts([Part(**{**fields(part), "attributes": {"bore_mm": number}})])
    (again,) = parse_parts(text, "parts.csv", KNOWN, SUPPLIERS)
    read = again.attributes["bore_mm"]
    assert isinstance(read, float)
    assert read == number
    assert math.copysign(1, read) == math.copysign(1, number) or number == 0


def fields(part: Part) -> dict[str, object]:
    return {name: getattr(part, name) for name in Part.__slots__}


def test_the_invented_shop_is_written_as_it_is_read() -> None:
    known, suppliers = demo_known(), read_suppliers(SHOP / "suppliers.yaml")
    parts = read_parts(SHOP / "parts.csv", known, suppliers)
    assert parse_parts(write_parts(parts), "parts.csv", known, suppliers) == parts


@pytest.mark.parametrize(
    ("changed", "text"),
    [
        (
            {"attributes": {"type": "a;b"}},
            "the text 'a;b' cannot stand in a list of parts: ; parts values there",
        ),
        (
            {"fits": {"family": ("a|b",)}},
            "the text 'a|b' cannot stand in a list of parts: | parts values there",
        ),
        (
            {"note": "two\nlines"},
            "the text 'two\\nlines' cannot stand in a list of parts: it is empty or has space or "
            "unseen signs",
        ),
        (
            {"number": ""},
            "the text '' cannot stand in a list of parts: it is empty or has space or unseen signs",
        ),
    ],
)
def test_what_would_be_read_as_something_else_is_not_written(changed: dict[str, object], text: str) -> None:
    (part,) = parts_of({})
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole text is compared
        write_parts([Part(**{**fields(part), **changed})])  # type: ignore[arg-type]
    assert str(caught.value) == text


def test_writing_leaves_the_file_alone(tmp_path: Path) -> None:
    parts = parts_of({}, {"number": "A-2"})
    file = tmp_path / "parts.csv"
    file.write_text(write_parts(parts), encoding="utf-8")
    assert read_parts(file, KNOWN, SUPPLIERS) == parts
