"""A refusal names what emptied the place, with the arithmetic and the values read, wherever that place is.

That a bolt must not bottom in its hole, and by how much, is common practice, no source.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tappetry.records.problems import Ground, Refusal
from tests.kitting.support import Ask


def grounds(folder: Path, **facts: Any) -> list[Ground]:
    """Why a plan that is met on the invented engine is refused with other facts."""
    with pytest.raises(Refusal) as refused:
        Ask("A03", "B1", facts={name.replace("_", "-"): value for name, value in facts.items()}).kit(folder)
    return refused.value.grounds


def test_bolts_that_bottom_are_named_with_the_arithmetic(tmp_path: Path) -> None:
    """175 - 92 = 83 mm reach into a hole of 40 mm; 3 mm must stay: 40 - 83 = -43, short by 46 mm."""
    told = grounds(tmp_path, head_bolt_hole_bottom="40 mm")
    assert told[0].text == "head bolts: nothing that may stand there is left"
    (listed,) = [ground for ground in told if ground.text.startswith("IF-12HA-E: ")]
    assert listed.owner == "rule bolt-bottom-upper"
    assert "a bolt that bottoms clamps nothing and cracks the block" in listed.text
    assert "hole bottom - (bolt length - clamped length) = -43 mm, at least 3 mm: 46 mm short" in listed.text
    for value in (
        "head_bolts_main.upper_length_mm = 175",
        "engine.head_bolt_hole_bottom_mm = 40",
        "engine.head_bolt_clamped_upper_mm = 92",
        "limits.bolt_bottom_clearance_min_mm = 3",
    ):
        assert value in listed.text
    others = [ground.text for ground in told if ground.text.startswith("IF-12SB-E: ")]
    assert others == [
        "IF-12SB-E: the hole decides the length class, not the year "
        "(head_studs.length_class = HB-B, engine.head_bolt_class = HB-A)"
    ], "nor may studs take their place"


def test_a_seal_that_nobody_sells_is_named_where_the_springs_run_empty(tmp_path: Path) -> None:
    told = grounds(tmp_path, stem_diameter="9.9 mm")
    assert told[0].text == "valve stem seals: nothing that may stand there is left"
    assert told[0].owner == "need valve-stem-seals"
    assert told[1].text.endswith("(valve_stem_seals.stem_mm = 8, engine.stem_diameter_mm = 9.9)")
    assert "valve springs: nothing that may stand there is left" in [ground.text for ground in told]
    assert ("never reused once off", "need valve-stem-seals") in [(g.text, g.owner) for g in told]


def test_many_that_fell_to_one_rule_are_one_ground_with_one_reckoned(tmp_path: Path) -> None:
    """98 mm of gasket over 110 mm of bore: -12, at least 1 mm, 13 mm short."""
    told = grounds(tmp_path, bore="110 mm")
    assert [ground.owner for ground in told] == ["need head-gaskets", "rule gasket-bore-least"]
    assert told[1].text.startswith("7 parts, such as PG-98-130: an overhanging fire ring glows")
    assert "gasket bore - (bore + overbore) = -12 mm, at least 1 mm: 13 mm short" in told[1].text


def test_a_value_over_its_most_is_reckoned_too(tmp_path: Path) -> None:
    """The narrowest gasket, 98 mm, over a bore of 90 mm: 8 mm wide, where 4 mm are the most."""
    told = grounds(tmp_path, bore="90 mm")
    assert "gasket bore - (bore + overbore) = 8 mm, at most 4 mm: 4 mm too much" in told[1].text
