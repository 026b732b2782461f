"""The front of the engine: one pattern, one nose, one chain line, and bolts of the right length.

That crank target, cam target, sensor and control unit expect one pattern is common practice, no source; part
numbers are the demo's.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.kitting.support import Ask, bought, demo, state_of
from tests.stories.telling import fact, grounds, line_of, no_paper, of, refusal

pytestmark = pytest.mark.slow

EARLY = Ask("A01", "B1")
LARGE = Ask("A08", "B3", "remove")
LATE = Ask("A10", "B1", "remove", "remove")
KEPT = Ask("A10", "B1", "keep-limited", "keep")


@pytest.mark.parametrize(
    ("ask", "gear"),
    [(EARLY, "LX-3104"), (LARGE, "LX-3100")],
    ids=["a front target where the cam carries it", "no target where the gear must carry it"],
)
def test_a_gear_of_another_pattern_is_refused(ask: Ask, gear: str) -> None:
    """30-1 teeth and a rear target, 48-2 teeth and three windows at the front: they never mix."""
    refused = refusal(replace(ask, plan={"pins": [gear]}))
    assert "crank target, cam target, sensor and control unit expect one pattern" in grounds(refused)
    assert gear not in bought(of(ask))


@pytest.mark.parametrize(
    ("ask", "windows", "teeth"), [(EARLY, 0, "30-1"), (LARGE, 3, "48-2"), (LATE, 3, "48-2")]
)
def test_windows_go_with_the_teeth_of_the_crank(ask: Ask, windows: int, teeth: str) -> None:
    result = ask
    kit = of(result)
    (gear,) = [ln for ln in kit.lines if any(filled.need == "cam-gear" for filled in ln.needs)]
    part = demo().catalogue.numbered(gear.part)[0]
    assert part.attributes["windows"] == windows
    targets = next((note.text for note in kit.notes if note.id == "targets"), "")
    assert f"crank {teeth}" in targets


def test_a_rear_sensor_reads_the_camshaft_itself() -> None:
    kit = of(EARLY)
    (cam,) = [ln for ln in kit.lines if any(filled.need == "camshaft" for filled in ln.needs)]
    part = demo().catalogue.numbered(cam.part)[0]
    assert part.attributes["rear_target"] == "2-notch"


@pytest.mark.parametrize(
    ("ask", "cam", "bolts"),
    [
        (EARLY, "HV-2041-3N", {"IF-0825-3": 1}),
        (Ask("A05", "B1", deact="keep"), "HV-2041-1D", {"IF-1665": 1}),
        (KEPT, "HV-2041-1D", {"MO-9160733A": 1}),
    ],
    ids=["three small bolts", "one large bolt and no phaser", "one large bolt that is a valve"],
)
def test_the_nose_brings_its_bolts(ask: Ask, cam: str, bolts: dict[str, int]) -> None:
    lines = bought(of(ask))
    assert lines[cam] == 1
    assert bolts.items() <= lines.items()


@pytest.mark.parametrize(
    ("ask", "wrong", "reason"),
    [
        (Ask("A06", "B2", "keep-limited", "remove"), "MO-9160733A", "8 mm less thread is no substitute"),
        (KEPT, "MO-9144207", "8 mm less thread is no substitute"),
    ],
    ids=["98 in place of 90", "90 in place of 98"],
)
def test_a_bolt_of_the_other_era_is_refused(ask: Ask, wrong: str, reason: str) -> None:
    assert reason in grounds(refusal(replace(ask, plan={"pins": [wrong]})))


def test_one_chain_line_from_gear_to_cover() -> None:
    """The phaser's line lies 2.0 mm forward; when it goes, gear, crank sprocket and cover all go back."""
    kept, removed = of(KEPT), of(LATE)
    assert bought(kept)["LX-3232"] == 1
    assert state_of(kept, "front-cover") == "reuse"
    assert {"LX-3104": 1, "LX-3230": 1, "MO-9130551": 1}.items() <= bought(removed).items()
    forward = refusal(replace(LATE, plan={"pins": ["LX-3232"]}))
    assert "share one chain line" in grounds(forward)
    assert "share one chain line" in grounds(refusal(replace(KEPT, plan={"pins": ["LX-3230"]})))


def test_what_is_forgotten_most_often_is_on_the_order() -> None:
    """Another sensor has another plug: the lead between them, its bracket, and the seal."""
    assert {"MO-9137715": 1, "MO-9119080": 1, "MO-9133108": 1, "PG-CS": 1}.items() <= bought(of(LATE)).items()


def test_a_core_that_does_not_exist_is_told_and_not_built() -> None:
    """The big cam is made with three bolts only, so no phaser can stay with it."""
    refused = refusal(replace(LARGE, phaser="keep-limited"))
    assert "a kept phaser sits on the nose it was made for" in grounds(refused)
    assert any("remove the phaser" in str(way) for way in refused.ways_out)


def test_a_steel_cam_eats_an_iron_gear() -> None:
    kit = of(Ask("ML-E", "M1", use="street-strip"))
    assert line_of(kit, "LX-3530").quantity == 1
    assert "LX-3520" in bought(kit), "the early block has nothing else to hold the cam back"
    late = bought(of(Ask("ML-L", "M1", use="street-strip")))
    assert "LX-3520" not in late, "the late block has its plate"


def test_deactivation_that_is_only_switched_off_is_no_plan() -> None:
    refused = refusal(Ask("A06", "B2", "keep-limited", "none"))
    assert any("switched off in the calibration alone is no removal" in str(way) for way in refused.ways_out)


def test_drive_of_all_four_wheels_is_asked_for_where_the_pan_comes_down() -> None:
    unknown = replace(LATE, facts={"four-wheel-drive": fact(None, "told", "nobody")})
    assert "not known whether it is done" in grounds(no_paper(unknown))
    hours = {}
    for driven in (False, True):
        kit = of(replace(LATE, facts={"four-wheel-drive": fact(driven, "seen", "photo")}))
        assert kit.totals is not None
        hours[driven] = kit.totals.hours
    assert float(hours[True] - hours[False]) == 2.5
