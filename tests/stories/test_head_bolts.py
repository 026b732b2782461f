"""Head bolts by the casting, not by the year: the class, the contradiction, and the hole.

That the casting decides and that a bolt may not bottom is common practice, no source; lengths are the demo's.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tappetry.assembly.values import Values
from tappetry.proofs.margins import margin
from tests.kitting.support import Ask, bought, demo
from tests.stories.telling import fact, grounds, of, refusal, requested, result

pytestmark = pytest.mark.slow

#: A pickup of 2007; the book says HB-A by its year, the rear of the block says 4417-B.
BY_CASTING = Ask(
    "A03",
    "B1",
    facts={
        "vin": fact("9ZZT1L4CX7H203311", "seen", "dash plate"),
        "block-casting": fact("4417-B", "seen", "photo of the block's rear"),
        "head-bolt-class": fact("HB-A", "told", "parts book, by year"),
    },
)
LENGTHS = {"HB-A": (175, 145), "HB-B": (140, 110)}
CLAMPED = (92, 62)
#: Bottom of the hole and start of its thread, below the deck.
HOLES = {"HB-A": (90, 42), "HB-B": (58, 22)}


def test_the_casting_decides_and_the_contradiction_stays_on_the_sheet() -> None:
    found = result(BY_CASTING).identification.engine_as_found.facts
    assert found["variant"].value == "B56"
    assert found["era"].value == "1"
    assert found["head-bolt-class"].value == "HB-B"
    assert found["head-bolt-class"].grade.name == "seen"
    disagreement = next(d for d in found.disagreements if d.attribute == "head-bolt-class")
    assert "HB-B" in disagreement.show()
    assert "HB-A (told, parts book, by year)" in disagreement.show()


def test_one_pack_for_the_engine_or_two_for_the_heads_and_none_of_the_other_class() -> None:
    lines = bought(of(BY_CASTING))
    assert (lines.get("IF-12HB-E"), lines.get("IF-12HB")) in {(1, None), (None, 2)}
    assert not {"IF-12HA", "IF-12HA-E"} & lines.keys()
    per_head = bought(of(replace(BY_CASTING, plan={"refusals": ["IF-12HB-E"]})))
    assert (per_head.get("IF-12HB-E"), per_head.get("IF-12HB")) == (None, 2)


def test_a_measured_hole_speaks_for_the_casting() -> None:
    """A probe reads 58 mm below the deck: the hole of HB-B, which is what the casting says."""
    probed = {**BY_CASTING.facts, "head-bolt-hole-bottom": fact("58 mm", "measured", "probe in the hole")}
    found = result(replace(BY_CASTING, facts=probed)).identification.engine_as_found.facts
    assert found["head-bolt-hole-bottom"].grade.name == "measured"
    assert not [d for d in found.disagreements if d.attribute == "head-bolt-hole-bottom"]


def test_a_pinned_bolt_of_the_other_class_is_refused() -> None:
    refused = refusal(replace(BY_CASTING, plan={"pins": ["IF-12HA"]}))
    assert "the hole decides the length class, not the year" in grounds(refused)
    assert any(way.startswith("release the pinned part IF-12HA") for way in map(str, refused.ways_out))


@pytest.mark.parametrize("bolt", ["HB-A", "HB-B"])
@pytest.mark.parametrize("hole", ["HB-A", "HB-B"])
@pytest.mark.parametrize("row", [0, 1])
def test_bolts_against_holes(bolt: str, hole: str, row: int) -> None:
    """Penetration is length less what is clamped; 3 mm to the bottom, 18 mm of thread in iron."""
    ask = replace(
        BY_CASTING, facts={"block-casting": fact("4417-A" if hole == "HB-A" else "4417-B", "seen", "photo")}
    )
    request = requested(ask)
    number = "IF-12HA" if bolt == "HB-A" else "IF-12HB"
    part = demo().catalogue.numbered(number)[0]
    views = {"head_bolts_main": {**part.attributes_for("head-bolts-main"), "renewed": True, "state": "new"}}
    values = Values(request.knowledge, request.fixed)
    name = ("upper", "lower")[row]
    depth = LENGTHS[bolt][row] - CLAMPED[row]
    bottom, start = HOLES[hole]
    clear = margin(values, request.knowledge.proofs[f"bolt-bottom-{name}"], views)
    thread = margin(values, request.knowledge.proofs[f"bolt-thread-{name}"], views)
    assert clear == pytest.approx(bottom - depth - 3)
    assert thread == pytest.approx(depth - start - 18)
    assert (bolt == hole) == (clear >= 0 and thread >= 0)
