"""A refusal names what cannot hold together, with the arithmetic and the values read.

That a bolt must not bottom in its hole, and by how much, is common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest

from tappetry.records.problems import Ground, Refusal
from tests.kitting.support import Ask


def refusal(**facts: Any) -> Refusal:
    """Why a plan that is met on the invented engine is refused with other facts."""
    with pytest.raises(Refusal) as refused:
        Ask("A03", "B1", facts={name.replace("_", "-"): value for name, value in facts.items()}).kit()
    return refused.value


def ruled(refused: Refusal) -> Ground:
    """The one rule or proof that is named."""
    (rule,) = [ground for ground in refused.grounds if ground.owner.startswith("rule ")]
    return rule


def owners(refused: Refusal) -> list[str]:
    return [ground.owner for ground in refused.grounds]


@pytest.mark.slow
def test_bolts_that_bottom_are_named_with_the_arithmetic() -> None:
    """110 - 62 = 48 mm reach into a hole of 40 mm; 3 mm must stay: 40 - 48 = -8, short by 11 mm."""
    refused = refusal(head_bolt_hole_bottom="40 mm")
    listed = ruled(refused)
    assert listed.owner == "rule bolt-bottom-lower"
    assert listed.text.startswith("IF-12HB: a bolt that bottoms clamps nothing and cracks the block; ")
    reckoned = (
        "hole bottom - (bolt length - clamped length): 40 - (110 - 62) = -8 mm, at least 3 mm: 11 mm short"
    )
    assert reckoned in listed.text
    assert refused.arithmetic == f"lower row head bolts do not bottom: {reckoned}"
    for value in (
        "head_bolts_main.lower_length_mm = 110",
        "engine.head_bolt_hole_bottom_mm = 40",
        "engine.head_bolt_clamped_lower_mm = 62",
        "limits.bolt_bottom_clearance_min_mm = 3",
    ):
        assert value in listed.text
    assert ("head bolt hole bottom below the deck: 40 mm", "measured: check-in") in [
        (ground.text, ground.owner) for ground in refused.grounds
    ]
    assert {"need head-bolts-main", "need head-studs", "price lists", "house book"} <= set(owners(refused))


@pytest.mark.slow
def test_a_seal_that_nobody_sells_is_named() -> None:
    refused = refusal(stem_diameter="9.9 mm")
    assert ruled(refused).text.endswith("(valve_stem_seals.stem_mm = 8, engine.stem_diameter_mm = 9.9)")
    assert ("valve stem seals renewed: never reused once off", "need valve-stem-seals") in [
        (ground.text, ground.owner) for ground in refused.grounds
    ]
    assert "valve springs" not in str(refused)


def test_of_many_that_fall_to_one_proof_the_nearest_is_reckoned() -> None:
    """The widest gasket, 107 mm, over 110 mm of bore: -3, at least 1 mm, 4 mm short."""
    refused = refusal(bore="110 mm")
    listed = ruled(refused)
    assert listed.owner == "rule gasket-bore-least"
    assert listed.text.startswith("PG-107-130: an overhanging fire ring glows")
    reckoned = "gasket bore - (bore + overbore): 107 - (110 + 0) = -3 mm, at least 1 mm: 4 mm short"
    assert reckoned in listed.text
    assert "for head gaskets the price lists carry 7 parts that may fit, and no other" in str(refused)


def test_a_value_over_its_most_is_reckoned_too() -> None:
    """The narrowest gasket, 98 mm, over a bore of 90 mm: 8 mm wide, where 4 mm are the most."""
    refused = refusal(bore="90 mm")
    assert "98 - (90 + 0) = 8 mm, at most 4 mm: 4 mm too much" in refused.arithmetic
