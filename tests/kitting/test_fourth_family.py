"""A fourth engine family, written as text: a complete kit with no line of Python changed.

The Quoin V6 is invented. It brings its own numbers to facts of the trade that are the same for every
engine; each of them is common practice, no source, where the test does not say otherwise.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest

from tappetry.records.kit import Kit
from tappetry.records.problems import Refusal
from tappetry.services.shop import Shop, make_demo_shop, open_shop
from tests.kitting.support import Ask, bought, state_of

pytestmark = pytest.mark.slow

QUOIN = Path(__file__).parent / "data" / "quoin"
#: Values that the new family adds to the choices of attributes: the line's attribute, old end, new end.
CHOICES = {
    "head-bolt-class": ("HB-B, plain]", "HB-B, HB-Q, plain]"),
    "phaser-hardware": ("PH-B]", "PH-B, PH-Q]"),
    "front-cover": ("FC-3D, plain]", "FC-3D, FC-Q1, FC-Q3, plain]"),
    "pan-bypass-thread": ("M22x1.5]", "M22x1.5, M14x1.5]"),
}


def quoin_shop(folder: Path) -> Shop:
    """The demo shop with the fourth family: one family file, its grinds, its parts, four longer choices."""
    make_demo_shop(folder)
    family = folder / "families" / "quoin"
    family.mkdir()
    (family / "family.yaml").write_text((QUOIN / "family.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    for name, target in (("grind.yaml", "tables/grind.yaml"), ("parts.csv", "parts.csv")):
        with (folder / target).open("a", encoding="utf-8") as file:
            file.write((QUOIN / name).read_text(encoding="utf-8"))
    attributes = folder / "attributes.yaml"
    lines = attributes.read_text(encoding="utf-8").splitlines(keepends=True)
    for index, line in enumerate(lines):
        for attribute, (old, new) in CHOICES.items():
            if line.startswith(f"- {{id: {attribute},"):
                assert old in line
                lines[index] = line.replace(old, new, 1)
    attributes.write_text("".join(lines), encoding="utf-8")
    return open_shop(folder)


@cache
def shop() -> Shop:
    """The shop, read as a whole: its folder is gone by then."""
    with TemporaryDirectory() as folder:
        made = quoin_shop(Path(folder) / "shop")
        assert made.catalogue.parts
    return made


def quoin(application: str, cam: str, phaser: str = "none", deact: str = "none", **more: Any) -> Ask:
    """A plan for a Quoin."""
    return Ask(application, cam, phaser, deact, **more)


@cache
def kit_of(application: str, cam: str, phaser: str = "none", deact: str = "none") -> Kit:
    return quoin(application, cam, phaser, deact).kit(shop()).kit


def refused(ask: Ask) -> str:
    """The grounds on which a plan is refused."""
    with pytest.raises(Refusal) as refusal:
        ask.kit(shop())
    return "\n".join(f"{ground.owner}: {ground.text}" for ground in refusal.value.grounds)


def pieces_for(kit: Kit, need: str) -> int:
    """Pieces that the lines of a kit give to a need."""
    return sum(filled.given for line in kit.lines for filled in line.needs if filled.need == need)


# ---- a complete kit ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "plan",
    [
        ("Q01", "Q1", "keep-limited", "none"),
        ("Q01", "Q1", "remove", "none"),
        ("Q02", "Q1", "keep-limited", "remove"),
        ("Q02", "Q1", "remove", "remove"),
        ("Q03", "Q2", "none", "none"),
    ],
    ids=" ".join,
)
def test_a_family_written_as_text_gives_a_complete_kit(plan: tuple[str, str, str, str]) -> None:
    kit = kit_of(*plan)
    assert kit.proved_optimal
    assert not kit.unknowns
    assert not [kept.need for kept in kit.kept if kept.state == "open"]
    own = [line.part for line in kit.lines if line.part.startswith("QN-")]
    assert len(own) >= 30
    assert pieces_for(kit, "valve-springs") == pieces_for(kit, "lifters-standard") == 12


def test_the_program_knows_nothing_of_the_family() -> None:
    package = Path(open_shop.__code__.co_filename).parents[1]
    speaking = [
        file.name
        for file in package.rglob("*.py")
        if any(word in file.read_text(encoding="utf-8") for word in ("Quoin", "QN-", "PH-Q", "HB-Q"))
    ]
    assert not speaking


# ---- facts of the trade (common practice, no source) -----------------------------------------------------


def test_a_four_window_gear_belongs_to_a_crank_target_of_58_teeth() -> None:
    """The three-window gear is cheaper, and never bought for a target of 60 pitches less two."""
    lines = bought(kit_of("Q03", "Q1"))
    assert lines["QN-G4"] == 1
    assert "QN-G3" not in lines


def test_a_three_window_gear_is_refused_where_the_crank_target_has_58_teeth() -> None:
    grounds = refused(quoin("Q03", "Q1", plan={"pins": ["QN-G3"]}))
    assert "the plan pins QN-G3" in grounds
    assert "crank target, cam target, sensor and control unit expect one pattern" in grounds


def test_the_gear_follows_the_crank_target_that_is_seen() -> None:
    """Another crankshaft stands in the engine: its target decides, not the family's paper."""
    seen = {"crank-target": {"value": "48-2", "grade": "seen", "source": "counted through the sensor hole"}}
    lines = bought(quoin("Q03", "Q1", facts=seen).kit(shop()).kit)
    assert lines["QN-G3"] == 1
    assert "QN-G4" not in lines


def test_one_cam_bolt_becomes_three_when_the_phaser_goes() -> None:
    kept, removed = kit_of("Q01", "Q1", "keep-limited"), kit_of("Q01", "Q1", "remove")
    assert pieces_for(kept, "phaser-bolt-valve") == 1
    assert pieces_for(kept, "cam-gear-bolts") == 0
    assert pieces_for(removed, "phaser-bolt-valve") == 0
    assert pieces_for(removed, "cam-gear-bolts") == 3
    assert bought(removed)["QN-C1-3"] == 1, "three bolts want a nose for three"


def test_two_banks_take_two_packs_of_head_bolts_sold_per_head() -> None:
    kit = kit_of("Q01", "Q1", "keep-limited")
    line = next(line for line in kit.lines if line.part == "QN-HB")
    assert line.quantity == 2
    assert [(filled.required, filled.given) for filled in line.needs] == [(16, 16)]
    assert bought(kit)["QN-HG96"] == 2, "head gaskets are sold each, one for each bank"


def test_a_pan_bypass_of_m14_takes_a_plug_of_m14() -> None:
    """The plug of M20 is cheaper and does not fit; an engine that had no bypass gets no plug."""
    lines = bought(kit_of("Q02", "Q1", "keep-limited", "remove"))
    assert lines["QN-M14"] == 1
    assert "QN-M20" not in lines
    assert pieces_for(kit_of("Q01", "Q1", "keep-limited"), "pan-bypass-plug") == 0
    pinned = quoin("Q02", "Q1", "keep-limited", "remove", plan={"pins": ["QN-M20"]})
    assert "several threads stand within one family" in refused(pinned)


def test_a_spring_sold_for_more_lift_than_the_cam_has_carries_it() -> None:
    """Sold for 0.560 in: at 0.553 in it keeps 1.800 - 1.180 - 0.553 = 0.067 in, above its 0.060 in."""
    kit = kit_of("Q01", "Q1", "keep-limited")
    proof = next(proof for proof in kit.proofs if proof.id == "spring-not-solid")
    assert bought(kit)["QN-S560"] == 1
    assert proof.value == pytest.approx(1.800 - 1.180 - 0.335 * 1.65, abs=1e-9)
    assert proof.limit == pytest.approx(0.060)


def test_the_same_spring_is_refused_where_the_lift_takes_its_margin() -> None:
    """At 0.570 in it keeps only 0.050 in; the stronger spring is bought, and a pin does not force it."""
    lines = bought(kit_of("Q03", "Q2"))
    assert lines["QN-S620"] == 1
    assert "QN-S560" not in lines
    grounds = refused(quoin("Q03", "Q2", plan={"pins": ["QN-S560"]}))
    assert "the plan pins QN-S560" in grounds
    assert "a solid spring breaks rocker, pushrod or cam" in grounds


def test_an_engine_that_never_had_deactivation_needs_no_tower_plugs() -> None:
    """Nor a plain cover, a plug of the harness, or deactivating lifters: the needs are not there at all."""
    kit = kit_of("Q01", "Q1", "keep-limited")
    for need in ("oil-tower-plugs", "deact-harness-plug", "lifters-deact", "valley-cover-deact"):
        assert pieces_for(kit, need) == 0
        assert state_of(kit, need) == ""
    assert state_of(kit, "valley-cover-plain") == "reuse"


def test_towers_are_sealed_once_where_deactivation_goes() -> None:
    """The cover's own bosses seal the four towers, so that no plugs are bought beside it."""
    kit = kit_of("Q02", "Q1", "keep-limited", "remove")
    assert bought(kit)["QN-VC"] == 1
    assert pieces_for(kit, "oil-tower-plugs") == 0
