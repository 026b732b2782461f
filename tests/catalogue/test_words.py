"""Parts found by pieces of words: the same as by looking at each part alone."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.catalogue.identity import normal
from tappetry.catalogue.words import WordIndex
from tappetry.records.part import Fill, Part

TITLES = {"n0": "Head bolts", "n1": "Valve springs"}
TEXTS = st.text("ab-1 éA.", min_size=1, max_size=6)


def part(number: str, description: str, need: str = "n0", supplier: str = "SA") -> Part:
    return Part(
        number, supplier, description, (Fill(need, 1),), "each", 1, Decimal(4), Decimal(5), lead_days=3
    )


def looked_through(parts: list[Part], words: list[str], need: str) -> list[Part]:
    """The parts that each hold every word, one after the other."""

    def holds(one: Part, word: str) -> bool:
        said = [one.description, one.supplier, *(TITLES[fill.need] for fill in one.fills)]
        plain = normal(word)
        in_words = any(word.lower() in " ".join(each.lower().split()) for each in said)
        return in_words or bool(plain and plain in normal(one.number))

    return [
        one for one in parts if (not need or one.pieces_for(need)) and all(holds(one, word) for word in words)
    ]


@given(
    st.lists(st.tuples(TEXTS, TEXTS, st.sampled_from(sorted(TITLES))), max_size=8),
    st.lists(st.text("ab-1éA.", min_size=1, max_size=3), max_size=3),
    st.sampled_from(["", "n0", "n1"]),
)
def test_finds_what_looking_through_all_finds(
    rows: list[tuple[str, str, str]], words: list[str], need: str
) -> None:
    parts = [part(number, description, of) for number, description, of in rows]
    assert list(WordIndex(parts, TITLES).find(words, need)) == looked_through(parts, words, need)


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("bolt", ["PG-1", "PG-3"]),  # the title of a need
        ("pg1", ["PG-1"]),  # a number without its punctuation
        ("LONG head", ["PG-1"]),  # words in any order and case
        ("long springs", []),  # each of two parts holds one
        ("gsa", []),  # no piece spans two fields: 'long' is followed by the supplier
        ("", ["PG-1", "PG-2", "PG-3"]),
    ],
)
def test_by_words_number_and_need(words: str, found: list[str]) -> None:
    parts = [part("PG-1", "long"), part("PG-2", "dual", "n1"), part("PG-3", "short")]
    assert [each.number for each in WordIndex(parts, TITLES).find(words.split())] == found


def test_a_need_is_asked_with_or_without_words() -> None:
    parts = [part("PG-1", "long"), part("PG-2", "dual", "n1")]
    index = WordIndex(parts, TITLES)
    assert list(index.find([], "n1")) == [parts[1]]
    assert list(index.find(["long"], "n1")) == []
    assert list(index.find([], "unknown")) == []
