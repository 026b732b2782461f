"""Plain words: figures in the digits of the trade, units of sale, states, plans."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from tappetry.presentation import words
from tappetry.records.evidence import Fact, Grade
from tappetry.records.kit import Kept
from tappetry.records.plan import OwnPart, Plan
from tappetry.records.verdict import Verdict


def test_what_stays_in_two_places_is_told_by_its_pieces() -> None:
    short, long = (Kept("pushrods", slot, "reuse", "straight", pieces=8) for slot in ("standard", "deact"))
    rail = Kept("rocker-rail", "standard", "reuse", "flat", pieces=2)
    stays = [short, rail, long]
    assert [words.kept(each, stays, each.need) for each in stays] == [
        "pushrods (8)",
        "rocker-rail",
        "pushrods (8)",
    ]


def test_what_is_said_of_two_places_alike_is_said_once() -> None:
    short, long = (Kept("pushrods", slot, "reuse", "straight", pieces=8) for slot in ("standard", "deact"))
    rail = Kept("rocker-rail", "", "reuse", "flat", pieces=2)
    (both, other) = words.told_once([short, rail, long])
    assert (both.need, both.pieces, both.allowance) == ("pushrods", 16, None)
    assert words.kept(both, [both, other], "pushrods") == "pushrods"
    assert other == rail
    bent = replace(long, text="bent")
    assert words.told_once([short, bent]) == [short, bent]
    paid = [
        replace(short, allowance=Decimal(5)),
        long,
        replace(long, slot="third", allowance=Decimal("1.50")),
    ]
    assert [(each.pieces, each.allowance) for each in words.told_once(paid)] == [(24, Decimal("6.50"))]


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.1432, "in", "0.143 in"),
        (1.8, "mm", "1.80 mm"),
        (6420.0, "rpm", "6,420 rpm"),
        (13.999, "deg", "14.0°"),
        (20.0, "percent", "20.0 %"),
        (7.8642, "1", "7.864"),
        (None, "in", "–"),
        (float("inf"), "in", "–"),
    ],
)
def test_a_figure_has_the_digits_that_the_trade_reads(value: float | None, unit: str, text: str) -> None:
    assert words.figure(value, unit) == text


def test_a_margin_always_shows_its_sign() -> None:
    assert words.signed_figure(0.043, "in") == "+0.043 in"
    assert words.signed_figure(-0.3, "mm") == "−0.30 mm"


@pytest.mark.parametrize(
    ("count", "sold_as", "text"),
    [
        (2, "each", "2"),
        (1, "set/16", "1 set of 16"),
        (2, "box/4", "2 boxes of 4"),
        (4, "jug/5 L", "4 jugs of 5 L"),
        (1, "set/engine", "1 engine set"),
        (2, "set/head", "2 head sets"),
        (1, "pair", "1 pair"),
    ],
)
def test_units_of_sale_read_as_people_say_them(count: int, sold_as: str, text: str) -> None:
    assert words.quantity(count, sold_as) == text


def test_money_for_people_and_for_machines() -> None:
    assert words.amount(Decimal("8439.31")) == "8,439.31"
    assert words.decimal_text(Decimal("8439.3")) == "8439.30"
    assert words.decimal_text(Decimal("4.875")) == "4.88"


def test_every_verdict_has_words() -> None:
    assert set(words.VERDICTS) == set(Verdict)
    assert set(words.GRADES) == set(Grade)


def test_a_state_without_words_is_shown_as_it_is() -> None:
    assert words.state("reuse") == "stays in the engine"
    assert words.state("lent by the museum") == "lent by the museum"


def test_a_plan_reads_as_sentences() -> None:
    plan = Plan(
        phaser="keep-limited",
        deact="remove",
        cam="B2",
        rpm=6000.0,
        own_parts=(OwnPart("injectors", "a set of injectors", used=True),),
        need_by=date(2026, 4, 1),
    )
    assert words.plan(plan, {}, {"heads"}) == (
        "A new camshaft, grind B2, for daily driving.",
        "Cylinder deactivation is taken out: standard lifters, cover and oil passages closed.",
        "The cam phaser stays; a stop limits its travel to keep the valves clear of the pistons.",
        "The cylinder heads come off, and are checked before they go back.",
        "The engine is planned to run up to 6,000 revolutions a minute.",
        "You bring: a set of injectors (used).",
        "You need the car by 1 April 2026.",
    )


def test_an_engine_without_phaser_or_deactivation_hears_nothing_of_them() -> None:
    text = " ".join(words.plan(Plan(cam="O1", heads="on"), {}, {"heads"}))
    assert "phaser" not in text
    assert "deactivation" not in text


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (True, "", "yes"),
        (False, "", "no"),
        (39.6, "mm", "39.6 mm"),
        (140000.0, "km", "140000 km"),
        (8, "", "8"),
        (("a", "b"), "", "a, b"),
        (["a"], "", "a"),
        ("98.00 mm", "mm", "98.00 mm"),
    ],
)
def test_a_value_of_an_attribute_reads_as_it_is_spoken(value: object, unit: str, text: str) -> None:
    assert words.value(value, unit) == text


def test_a_fact_says_who_says_so() -> None:
    fact = Fact("mileage", 140000.0, Grade.told, "customer", unit="km")
    assert words.fact(fact) == "140000 km (as told to us: customer)"


def test_names_are_joined_as_in_speech() -> None:
    assert [words.listed(names) for names in ((), ("a",), ("a", "b"), ("a", "b", "c"))] == [
        "",
        "a",
        "a and b",
        "a, b and c",
    ]
