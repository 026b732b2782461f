"""Runners-up in words and as data: for the shop with its costs, for the customer without them."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from decimal import Decimal

import pytest

from tappetry.presentation.appendix import choices
from tappetry.presentation.quote import quote_data, quote_pdf
from tappetry.presentation.why_not import along, brief, outcome, why_not_data
from tappetry.presentation.words import title
from tappetry.records.evidence import Fact, Grade
from tappetry.records.kit import Because
from tappetry.records.problems import Ground
from tappetry.records.why_not import Behind, Cost, Moved, RunnerUp, WhyNot
from tests.presentation.sample import quote
from tests.presentation.test_quote import text_of

HEAVY = Behind("preference", "heavy", "open load over 320 lb", "shop")
STANDARD = RunnerUp(
    need="chain",
    slot="",
    part="AB-1",
    supplier="ABC",
    description="Chain, standard pin",
    alone=Decimal("-40.00"),
    cost=Cost(Decimal("-9.00"), Decimal("-42.90"), Decimal(0), 0),
    behind=HEAVY,
)
FLAT = RunnerUp(
    need="chain",
    slot="",
    part="AB-2",
    supplier="ABC",
    description="Chain, flat pin",
    alone=Decimal("-14.00"),
    alike=("AB-3",),
    because=("the pin shears",),
    decided=(("phaser", "keep-limited"), ("cam", "B2")),
    grounds=(
        Ground("the pin shears at 300 lb", "rule pin"),
        Ground("the plan keeps the springs", "customer"),
    ),
    arithmetic="pin: 300 - 315 = -15 lb, at least 0 lb: 15 lb short",
)
GOLD = RunnerUp(
    need="chain",
    slot="",
    part="AB-4",
    supplier="ABC",
    description="Chain, gold",
    alone=Decimal("900.00"),
    cost=Cost(
        Decimal("700.00"),
        Decimal("965.25"),
        Decimal("1.5"),
        8,
        (Moved("CD-1", "Guide, gold", 0, 2), Moved("CD-2", "Guide, plain", 2, 0)),
        ("chain runs quietly",),
    ),
    behind=Behind("cost", "landed-cost", "landed cost is 700.00 higher", "arithmetic"),
)
PLACE = WhyNot(
    need="chain",
    slot="",
    title="chain",
    state="new",
    chosen="Chain, heavy pin",
    parts=("AB-9",),
    spent=Decimal("92.00"),
    why=(
        Because("need", "chain", "chain"),
        Because("rule", "chain-renew", "the front is apart"),
        Because("choice", "heavy", "open load over 320 lb"),
        Because("choice", "quiet", "not followed: quiet"),
        Because("choice", "stock", "comes sooner"),
    ),
    runners_up=(STANDARD, FLAT, GOLD),
    more=2,
)


# ---- the shop's words --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("runner_up", "said"),
    [
        (
            STANDARD,
            "cheaper by 42.90 (landed cost 9.00 less), but the house prefers otherwise: "
            "open load over 320 lb",
        ),
        (
            FLAT,
            "by itself 14.00 less, but the pin shears, and the phaser stays with limited travel and the cam "
            "is B2; pin: 300 - 315 = -15 lb, at least 0 lb: 15 lb short",
        ),
        (
            GOLD,
            "dearer by 965.25 (landed cost 700.00 more), 1.5 hours more, 8 working days later: "
            "landed cost is 700.00 higher",
        ),
        (
            replace(STANDARD, behind=Behind("stays", "chain", "below 100,000 km")),
            "cheaper by 42.90 (landed cost 9.00 less), but nothing is bought here: below 100,000 km",
        ),
        (
            replace(GOLD, cost=Cost(Decimal(0), Decimal(0), Decimal("-0.5"), -1)),
            "at the same price (landed cost the same), 0.5 hours less, 1 working day sooner: "
            "landed cost is 700.00 higher",
        ),
        (replace(FLAT, alone=Decimal(0), arithmetic="", decided=()),
         "by itself no dearer, but the pin shears"),
    ],
)  # fmt: skip
def test_an_outcome_is_one_sentence(runner_up: RunnerUp, said: str) -> None:
    assert outcome(runner_up) == said


def test_in_brief_only_the_money_and_the_first_reason() -> None:
    assert brief(STANDARD) == "AB-1: cheaper by 42.90; the house prefers otherwise: open load over 320 lb"
    stays = replace(STANDARD, behind=Behind("stays", "chain", "below 100,000 km"))
    assert brief(stays) == "AB-1: cheaper by 42.90", "why it stays is told with what stays"
    assert brief(FLAT).startswith("AB-2: by itself 14.00 less, but the pin shears, and the phaser stays")


def test_what_changes_along_is_told_by_number() -> None:
    assert GOLD.cost is not None
    assert list(along(GOLD.cost)) == [
        "with 2 x CD-1",
        "without 2 x CD-2",
        "ends less well: chain runs quietly",
    ]


def test_the_data_say_all_that_the_words_say() -> None:
    data = json.loads(json.dumps(why_not_data(PLACE)))
    assert (data["need"], data["state"], data["parts"], data["more"]) == ("chain", "new", ["AB-9"], 2)
    standard, flat, gold = data["runners_up"]
    assert standard["cost"] == {
        "landed": "-9.00",
        "total": "-42.90",
        "hours": 0.0,
        "days": 0,
        "moved": [],
        "worse": [],
    }
    assert standard["behind"] == {
        "kind": "preference",
        "id": "heavy",
        "text": "open load over 320 lb",
        "source": "shop",
    }
    assert standard["text"] == outcome(STANDARD)
    assert (flat["cost"], flat["behind"], flat["alone"], flat["alike"]) == (None, None, "-14.00", ["AB-3"])
    assert [ground["owner"] for ground in flat["grounds"]] == ["rule pin", "customer"]
    assert flat["arithmetic"] == FLAT.arithmetic
    assert flat["decided"] == {"phaser": "keep-limited", "cam": "B2"}
    assert gold["cost"]["moved"][0] == {"part": "CD-1", "description": "Guide, gold", "quantity": [0, 2]}


# ---- the customer's words ----------------------------------------------------------------------------


def test_a_choice_tells_what_was_taken_why_and_what_else_there_was() -> None:
    (told,) = choices([PLACE], title)
    assert (told["need"], told["chosen"], told["price"]) == ("chain", "Chain, heavy pin", "92.00")
    assert told["why"] == "the front is apart; comes sooner", "the preference is told with what it put behind"
    standard, flat, gold = told["others"]
    assert standard["effect"] == "42.90 less"
    assert standard["why"] == "we prefer otherwise: open load over 320 lb"
    assert (flat["effect"], flat["possible"]) == ("cannot be used", False)
    assert flat["why"] == (
        "the pin shears, and the phaser stays with limited travel and the cam is B2; pin: 15 lb short"
    )
    assert gold["effect"] == "965.25 more, 8 working days later"
    assert gold["why"] == "no better by our rules, and dearer"
    assert gold["along"] == [
        "It brings along: Guide, gold.",
        "1.5 hours more work.",
        "Less good in a check: chain runs quietly.",
    ]


@pytest.mark.parametrize(
    ("runner_up", "state", "is_told"),
    [
        (replace(GOLD, same=True), "new", False),
        (replace(GOLD, same=True, asked="wished"), "new", True),
        (GOLD, "reuse", False),
        (replace(GOLD, asked="factory"), "reuse", False),
        (replace(GOLD, asked="offered"), "reuse", True),
        (GOLD, "none", True),
        (replace(FLAT, alone=Decimal(3)), "new", False),
        (replace(FLAT, alone=Decimal(3), asked="factory"), "new", True),
        (replace(FLAT, misfit=True), "new", False),
        (replace(FLAT, misfit=True, asked="factory"), "new", True),
    ],
)
def test_only_what_a_customer_would_ask_is_told(runner_up: RunnerUp, state: str, is_told: bool) -> None:
    told = choices([replace(PLACE, state=state, runners_up=(runner_up,))], title)
    assert bool(told) is is_told


def test_two_that_bring_the_same_parts_are_told_once() -> None:
    assert GOLD.cost is not None
    guide = replace(
        GOLD, part="CD-1", cost=replace(GOLD.cost, moved=(Moved("AB-4", "Chain, gold", 0, 1),)), need="guide"
    )
    other = replace(PLACE, need="guide", title="guide", runners_up=(guide,))
    assert [told["need"] for told in choices([PLACE, other], title)] == ["chain"]


def test_what_is_not_bought_gives_its_reason_once() -> None:
    stays = Behind("stays", "studs", "bolts clamp as well")
    place = replace(
        PLACE,
        state="none",
        parts=(),
        chosen="bolts clamp as well",
        runners_up=(replace(GOLD, behind=stays),),
    )
    (told,) = choices([place], title)
    assert (told["chosen"], told["price"], told["why"]) == ("not needed", "", "bolts clamp as well")
    assert told["others"][0]["why"] == ""


def test_what_the_customer_decided_is_told_without_numbers() -> None:
    pinned = replace(STANDARD, behind=Behind("plan", "chain", "the plan pins AB-9", "job J1"))
    (told,) = choices([replace(PLACE, runners_up=(pinned,))], title)
    assert told["others"][0]["why"] == "you decided otherwise"


# ---- on paper ----------------------------------------------------------------------------------------


def test_the_appendix_is_on_the_paper_without_numbers_suppliers_or_costs() -> None:
    asked = replace(quote(), places=(PLACE,))
    paper = quote_pdf(asked)
    assert quote_pdf(asked) == paper
    words = " ".join(text_of(paper).split())
    for must in (
        "Why these parts",
        "Chain, heavy pin",
        "42.90 less",
        "cannot be used",
        "What else there was",
    ):
        assert must in words
    said = words + json.dumps(quote_data(asked)["choices"])
    for secret in ("AB-1", "AB-9", "ABC", "CD-1", "9.00 less", "700.00"):
        assert not re.search(rf"(?<![\w.,]){re.escape(secret)}(?![\w.,])", said), secret


def test_what_was_taken_on_trust_is_named() -> None:
    facts = (
        Fact("mileage", 140_000, Grade.told, "customer", unit="km"),
        Fact("age", 14, Grade.told, "customer"),
        Fact("age", 14, Grade.decoded, "VIN"),
        Fact("head-type", "R", Grade.assumed, "year"),
    )
    asked = replace(quote(), job=replace(quote().job, facts=facts), fact_titles={"mileage": "distance run"})
    assert quote_data(asked)["trusted"] == "distance run and head type"
