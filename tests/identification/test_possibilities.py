"""What an engine may still be: values listed, told by tables or between limits, without contradiction."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any

import pytest

from tappetry.identification.choices import Limits, between, choices, joined
from tappetry.identification.evidence import World
from tappetry.identification.possibilities import Possibilities, answer_grade, possibilities
from tappetry.records.evidence import Fact, Grade
from tappetry.records.family import Application, AttributeSchema, Family, Table
from tests.kitting.support import demo

KM = AttributeSchema("km", "km", "quantity", unit="km", min=0, name_in_conditions="km_km")
COUNT = AttributeSchema("count", "count", "count", min=0, max=6, name_in_conditions="count")


def values(
    schema: AttributeSchema, limits: Iterable[float], exact: Iterable[float] = ()
) -> list[tuple[Any, str]]:
    return [(choice.value, choice.words) for choice in between(schema, limits, exact)]


# ---- numbers -----------------------------------------------------------------------------------------------


def test_a_number_stands_on_each_side_of_every_limit() -> None:
    assert values(KM, [100000.0, 120000.0]) == [
        (50000.0, "under 100000 km"),
        (110000.0, "100000 to 120000 km"),
        (132000.0, "over 120000 km"),
    ]


def test_a_number_that_has_to_be_equal_stands_for_itself() -> None:
    assert values(KM, [4.0], [4.0]) == [(2.0, "under 4 km"), (4.0, "4 km"), (4.4, "over 4 km")]


def test_the_least_value_there_is_stands_for_itself() -> None:
    assert values(KM, [0.0]) == [(0.0, "0 km"), (0.1, "over 0 km")]


def test_whole_numbers_stay_whole() -> None:
    assert values(COUNT, [2.0, 3.0]) == [(0.0, "under 2"), (2.0, "2"), (3.0, "3"), (4.0, "over 3")]
    assert [value for value, _ in values(COUNT, [1.0, 6.0])] == [0.0, 1.0, 2.0, 6.0]


def test_limits_outside_of_what_can_be_tell_nothing() -> None:
    assert values(COUNT, [-3.0, 9.0]) == []


def test_spans_that_follow_on_each_other_are_one() -> None:
    low, middle, high = between(KM, [4.0, 8.0], [])
    assert joined(KM, [low, middle]) == "under 8 km"
    assert joined(KM, [middle, high]) == "over 4 km"
    assert joined(KM, [low, high]) == "under 4 km or over 8 km"
    assert joined(KM, [low, middle, high]) == "any"
    yes, no = choices(AttributeSchema("x", "x", "truth"), None)
    assert joined(KM, [yes, no]) == "yes or no"


# ---- a family of its own -----------------------------------------------------------------------------------


def schema(name: str, kind: str = "text", grade: str = "decoded", **more: Any) -> AttributeSchema:
    return AttributeSchema(name, name, kind, grade=grade, name_in_conditions=name.replace("-", "_"), **more)


ATTRIBUTES = {
    each.id: each
    for each in (
        schema("application"),
        schema("family"),
        schema("block-casting", grade="seen"),
        schema("era", "choice", values=("1", "2", "3")),
        schema("cover", "choice", values=("plain", "bossed", "none")),
        schema("size"),
        schema("sealed", "choice", values=("by plugs", "no")),
        schema("hot", "truth"),
        schema("maker"),
        KM,
    )
}
FAMILY = Family(
    id="F",
    name="F",
    attributes={"hot": True},
    tables=(
        Table(("block-casting",), {("B1",): {"era": "1"}, ("B2",): {"era": "2", "size": "large"}}),
        Table(("era",), {("1",): {"cover": "plain"}, ("2",): {"cover": "bossed"}}),
    ),
    applications=(
        Application("A1", "a", 2000, 2004, attributes={"size": "small"}, castings=("B1",)),
        Application("A2", "b", 2005, 2009, attributes={"size": "large"}, castings=("B1", "B2")),
    ),
    service_castings=("B9",),
)
#: What is said of an engine of the family.
KNOWN = {"family": ("F", Grade.seen)}


def ways(
    known: Mapping[str, tuple[Any, Grade]],
    *tiers: Iterable[str],
    most: int = 100,
    limits: Mapping[str, Limits] | None = None,
    attributes: Mapping[str, AttributeSchema] = ATTRIBUTES,
) -> Possibilities:
    facts = [Fact(name, value, grade, "test") for name, (value, grade) in known.items()]
    world = World({"F": FAMILY}, attributes)
    return possibilities(facts, tiers, world, limits or {}, most)


def taken(found: Possibilities) -> list[dict[str, Any]]:
    return [{name: fact.value for name, fact in way.taken.items()} for way in found.ways]


def test_what_decides_an_attribute_is_taken_in_its_place() -> None:
    """The cover follows from the era, the era from the casting, and the casting is of the application."""
    found = ways(KNOWN, ["cover"])
    assert taken(found) == [
        {"application": "A1"},
        {"application": "A2", "block-casting": "B1"},
        {"application": "A2", "block-casting": "B2"},
        {"application": "A2", "block-casting": "B9", "era": "1"},
        {"application": "A2", "block-casting": "B9", "era": "2"},
    ]
    assert [way.engine.facts["cover"].value for way in found.ways] == [
        "plain",
        "plain",
        "bossed",
        "plain",
        "bossed",
    ]
    assert {way.share for way in found.ways} == {Fraction(1, 5)}
    assert found.tried == ("application", "block-casting", "era", "cover")


def test_a_contradiction_with_what_is_known_prunes() -> None:
    """Of the two applications only the second has a cover with bosses, on one of its castings."""
    assert taken(ways({**KNOWN, "cover": ("bossed", Grade.seen)}, ["block-casting"])) == [
        {"block-casting": "B2"},
        {"block-casting": "B9"},
    ]


def test_a_contradiction_between_two_values_that_are_taken_prunes() -> None:
    found = ways({**KNOWN, "application": ("A2", Grade.decoded)}, ["size", "era"])
    assert [(way["block-casting"], way.get("era")) for way in taken(found)] == [
        ("B1", None), ("B2", None), ("B9", "1"), ("B9", "2"),
    ]  # fmt: skip


def test_an_attribute_that_fits_no_value_stays_unknown() -> None:
    found = ways({**KNOWN, "application": ("A2", Grade.decoded), "cover": ("none", Grade.seen)}, ["era"])
    assert found.at_odds == ("era",)
    assert taken(found) == [{"block-casting": "B9"}]


def test_a_way_in_which_a_later_value_fits_nothing_is_none() -> None:
    """The block that is sold as replacement says nothing of the era; of the other two one cover is known."""
    known = {**KNOWN, "application": ("A2", Grade.decoded), "cover": ("bossed", Grade.seen)}
    assert taken(ways(known, ["era"])) == [
        {"block-casting": "B2"},
        {"block-casting": "B9", "era": "2"},
    ]


def test_what_no_text_names_cannot_be_listed() -> None:
    found = ways(KNOWN, ["maker", "km"])
    assert found.listless == ("maker", "km")
    assert len(found.ways) == 1


def test_what_the_family_does_not_tie_multiplies() -> None:
    limits = {"km": (frozenset({5.0}), frozenset[float]())}
    found = ways({**KNOWN, "application": ("A1", Grade.decoded)}, ["km", "sealed"], limits=limits)
    assert taken(found) == [
        {"km": km, "sealed": sealed} for km in (2.5, 5.5) for sealed in ("by plugs", "no")
    ]  # fmt: skip
    assert found.choices["km", 2.5].words == "under 5 km"


def test_what_would_make_too_many_ways_is_left_out() -> None:
    found = ways(KNOWN, ["cover"], ["sealed"], most=9)
    assert (found.left_out, len(found.ways)) == (("sealed",), 5)
    assert ways(KNOWN, ["cover"], ["sealed"], most=10).left_out == ()


def test_the_first_tier_comes_before_what_is_tied() -> None:
    found = ways(KNOWN, ["sealed"], ["cover"], most=4)
    assert found.tried[0] == "sealed"
    assert "sealed" not in found.left_out


def test_what_is_known_already_is_not_taken() -> None:
    assert taken(ways(KNOWN, ["hot", "family"])) == [{}]


def test_shares_weigh() -> None:
    shared = {
        **ATTRIBUTES,
        "sealed": schema("sealed", "choice", values=("by plugs", "no"), shares={"no": 3, "by plugs": 1}),
    }
    found = ways({**KNOWN, "application": ("A1", Grade.decoded)}, ["sealed"], attributes=shared)
    assert [way.share for way in found.ways] == [Fraction(1, 4), Fraction(3, 4)]


def test_a_value_without_a_share_is_tried_and_weighs_nothing() -> None:
    shared = {**ATTRIBUTES, "sealed": schema("sealed", "choice", values=("by plugs", "no"), shares={"no": 3})}
    found = ways({**KNOWN, "application": ("A1", Grade.decoded)}, ["sealed"], attributes=shared)
    assert [way.share for way in found.ways] == [0, 1]


def test_an_answer_is_known_well_enough_to_buy_on() -> None:
    (first, *_) = ways(KNOWN, ["block-casting"]).ways[1:]
    assert first.taken["block-casting"].grade == Grade.seen
    assert answer_grade(schema("x", grade="")) == Grade.measured


# ---- the invented shop -------------------------------------------------------------------------------------


@pytest.mark.parametrize("application", ["A02", "A03", "A06", "A11"])
def test_the_castings_of_an_application_are_tried(application: str) -> None:
    knowledge = demo().knowledge
    world = World(knowledge.families, knowledge.attributes)
    facts = [world.fact("application", application, Grade.decoded, "test")]
    family, known = world.application(application) or (None, None)
    assert family is not None
    assert known is not None
    found = possibilities(facts, [["block-casting", "head-bolt-class"]], world, {}, 100)
    castings = {way.engine.facts["block-casting"].value for way in found.ways}
    assert set(known.castings) <= castings <= {*known.castings, *family.service_castings}
