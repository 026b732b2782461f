"""What the customer brings: fitted without a warranty, counted, proved like any other part, or sent home."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from tests.kitting.support import Ask, bought, state_of
from tests.stories.telling import checked, grounds, of, refusal

pytestmark = pytest.mark.slow

SEDAN = Ask("A06", "B2", "keep-limited", "remove")
GASKET = {"bore_mm": 101.0, "thickness_mm": 1.3}


def brings(need: str, description: str, **more: Any) -> Ask:
    return replace(SEDAN, plan={"own_parts": [{"need": need, "description": description, **more}]})


def test_two_gaskets_of_the_right_bore_are_fitted_without_a_warranty() -> None:
    kit = of(brings("head-gaskets", "two gaskets from the shelf", pieces=2, attributes=GASKET))
    assert state_of(kit, "head-gaskets") == "customer's own"
    text = next(kept.text for kept in kit.kept if kept.need == "head-gaskets")
    assert (
        text
        == "two gaskets from the shelf, brought by the customer: no warranty on part or labour to redo it"
    )
    assert not {"PG-101-130", "WDW-PG101130"} & bought(kit).keys()
    whole = of(SEDAN)
    assert whole.totals is not None
    assert kit.totals is not None
    assert whole.totals.parts - kit.totals.parts == Decimal("102.00")


def test_one_gasket_for_two_banks_is_short_by_a_piece() -> None:
    one = brings("head-gaskets", "a gasket from the shelf", pieces=1, attributes=GASKET)
    refused = refusal(one)
    assert grounds(refused) == "customer: a gasket from the shelf: 2 wanted, 1 brought: short by 1 piece"
    assert [str(way) for way in refused.ways_out][:2] == [
        "he brings 1 more, and the job says so under pieces",
        "buy head gaskets in place of a gasket from the shelf",
    ]


def test_two_times_one_gasket_are_two() -> None:
    each = [
        {"need": "head-gaskets", "description": name, "pieces": 1, "attributes": dict(GASKET)}
        for name in ("a gasket", "another gasket")
    ]
    kit = of(replace(SEDAN, plan={"own_parts": each}))
    assert state_of(kit, "head-gaskets") == "customer's own"


def test_the_checker_counts_what_is_brought() -> None:
    two = brings("head-gaskets", "two gaskets", pieces=2, attributes=GASKET)
    one = brings("head-gaskets", "one gasket", pieces=1, attributes=GASKET)
    assert "pack-maths: head-gaskets: 2 wanted, 1 brought by the customer: short by 1 piece" in checked(
        of(two), one
    )


def test_a_gasket_that_hangs_into_the_bore_is_refused_like_any_other() -> None:
    small = brings("head-gaskets", "his gaskets", pieces=2, attributes={**GASKET, "bore_mm": 98.0})
    assert "overhanging fire ring" in grounds(refusal(small))


def test_ten_bolts_for_twenty_holes() -> None:
    bolts = {"length_class": "HB-B", "upper_length_mm": 140.0, "lower_length_mm": 110.0}
    refused = refusal(brings("head-bolts-main", "bolts for one head", pieces=10, attributes=bolts))
    assert "20 wanted, 10 brought: short by 10 pieces" in grounds(refused)


def test_used_lifters_are_not_fitted() -> None:
    refused = refusal(brings("lifters-standard", "his old lifters", pieces=16, used=True))
    assert refused.message == "A used his old lifters is not fitted."
    assert "renewed as one whole set, never in part" in grounds(refused)


def test_a_part_that_states_nothing_proves_nothing() -> None:
    refused = refusal(brings("camshaft", "a cam from a friend"))
    assert "rule cam-grind: a cam from a friend: the core carries the grind" in grounds(refused)


def test_what_is_not_needed_goes_home_with_the_reason() -> None:
    """The phaser in the engine is quiet and has run 90,000 km: it stays."""
    phaser = {"type": "PH-A", "nose": "N1", "target": "T3", "offset_mm": 0.0}
    kit = of(brings("cam-phaser", "his spare phaser", used=True, attributes=phaser))
    assert state_of(kit, "cam-phaser") == "reuse"
    (sent_home,) = [each for each in kit.declined if each.offer == "his spare phaser"]
    assert sent_home.reason_to_decline == "not fitted: quiet, clean and below 120,000 km"


def test_what_he_declines_is_said_to_be_declined() -> None:
    kit = of(replace(SEDAN, plan={"declined": {"rocker-bearing-kit": "too dear"}}))
    text = next(kept.text for kept in kit.kept if kept.need == "rocker-bearing-kit")
    assert text == "declined by the customer: too dear"
    assert next(d.by for d in kit.declined if d.need == "rocker-bearing-kit") == "customer"
