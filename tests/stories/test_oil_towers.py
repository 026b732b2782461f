"""The manual car whose block has oil towers: two facts, one seal on each, and no order before a look."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.kitting.support import Ask, bought, state_of
from tests.stories.telling import fact, finding_of, grounds, no_paper, of, refusal, result

pytestmark = pytest.mark.slow

TOWERS = Ask(
    "A07",
    "B1",
    "keep-limited",
    facts={
        "vin": fact("9ZZW2SSF6CK051333", "seen", "dash plate"),
        "block-casting": fact("5128-D", "seen", "photo of the block's rear"),
        "valley-cover": fact("plain", "seen", "photo of the valley"),
        "deact-hardware": fact(False, "seen", "no solenoids in the cover"),
    },
)


def sealed(how: str, grade: str) -> Ask:
    return replace(TOWERS, facts={**TOWERS.facts, "towers-sealed": fact(how, grade, "lamp")})


def test_towers_and_deactivation_are_two_facts() -> None:
    identification = result(TOWERS).identification
    found = identification.engine_as_found.facts
    assert found["deact-towers"].value is True
    assert found["deact-hardware"].value is False
    question = identification.next_question
    assert question is not None
    assert question.attribute == "towers-sealed"


def test_the_towers_stay_open_until_somebody_has_looked() -> None:
    kit = of(TOWERS)
    assert state_of(kit, "oil-tower-plugs") == "open"
    unknown = next(unknown for unknown in kit.unknowns if unknown.attribute == "towers-sealed")
    assert "oil-tower-plugs" in unknown.hangs_on_it
    refused = no_paper(TOWERS)
    assert "oil-tower-plugs" in grounds(refused)
    assert any(unknown.question in str(way) for way in refused.ways_out)


def test_hearsay_does_not_close_the_towers() -> None:
    """Told is not seen: the kit is there, but no paper before the owner signs or somebody looks."""
    told = sealed("by plugs", "told")
    assert finding_of(of(told), "towers-looked-at").verdict.name == "SIGN"
    assert "somebody has to look" in grounds(no_paper(told))
    seen = of(sealed("by plugs", "seen"))
    assert finding_of(seen, "towers-looked-at").verdict.name == "PASS"
    signed = of(replace(told, signatures={"towers-looked-at": "owner looked at the photo himself"}))
    assert finding_of(signed, "towers-looked-at").signed == "owner looked at the photo himself"


def test_with_plugs_in_the_towers_the_plain_cover_goes_back() -> None:
    plugged = sealed("by plugs", "seen")
    kit = of(plugged)
    assert not kit.unknowns
    assert state_of(kit, "valley-cover-plain") == "reuse"
    assert not {"MO-9102255", "IF-OT8"} & bought(kit).keys()


def test_a_cover_with_bosses_on_top_of_plugs_is_refused() -> None:
    refused = refusal(replace(sealed("by plugs", "seen"), plan={"pins": ["MO-9102255"]}))
    assert "exactly one seal on every oil tower" in grounds(refused)


def test_a_cover_that_seals_the_towers_goes_back_without_plugs() -> None:
    """It looks plain from above, but it has bosses: eight plugs under it would hold it off its face."""
    kit = of(sealed("by cover", "seen"))
    assert state_of(kit, "valley-cover-plain") == "reuse"
    assert not {"MO-9102255", "MO-8809931", "IF-OT8"} & bought(kit).keys()
    assert "exactly one seal on every oil tower" in grounds(
        refusal(replace(sealed("by cover", "seen"), plan={"pins": ["IF-OT8"]}))
    )


def test_open_towers_get_exactly_one_seal() -> None:
    """Eight plugs under a cover without bosses, or a cover with bosses and no plugs."""
    lines = bought(of(sealed("no", "seen")))
    assert ("MO-9102255" in lines) != ("IF-OT8" in lines)
    plain = replace(sealed("no", "seen"), plan={"pins": ["MO-8809931"]})
    assert bought(of(plain))["IF-OT8"] == 1
    without = replace(plain, plan={"pins": ["MO-8809931"], "refusals": ["IF-OT8"]})
    assert "oil tower" in grounds(refusal(without))


@pytest.mark.parametrize(
    ("application", "phaser"), [("A05", "none"), ("A06", "keep-limited"), ("A10", "keep-limited")]
)
def test_deactivation_taken_out_leaves_every_tower_sealed_once(application: str, phaser: str) -> None:
    lines = bought(of(Ask(application, "B1", phaser, "remove")))
    assert ("MO-9102255" in lines) != ("IF-OT8" in lines)
    assert "PG-VP" in lines, "the gasket around the cover is a part of its own"
