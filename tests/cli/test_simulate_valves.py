"""`tappetry simulate --valves`: springs side by side, one speed, pictures, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from tappetry.services.shop import Shop
from tests.cli.calling import call, refused

pytestmark = pytest.mark.slow


def test_springs_stand_side_by_side(shop: Shop) -> None:
    said = call("simulate", "B56", "--cam", "B2", "--valves")
    assert said.code == 0
    for told in (
        "B56 with B2, Lamplight 218/226, hydraulic roller",
        "spring valve open N proof parts where bounces limit order",
        "S2 QS-362.16 intake 1476 7391",
        "note: S1 as fitted is not turned: goes solid at the intake and exhaust",
        "motion/motion.yaml",
    ):
        assert told in said.words
    assert "no ramp" not in said.words
    assert max(map(len, said.out.splitlines())) <= 80


def test_lash_without_a_ramp_is_told(shop: Shop) -> None:
    assert "no ramp of steady speed" in call("simulate", "OS39", "--valves").words


def test_one_speed_is_told_for_each_valve(shop: Shop) -> None:
    said = call("simulate", "B56", "--cam", "B2", "--valves", "--spring", "S2", "--speed", 6000)
    assert said.code == 0
    assert "at 6000 rpm" in said.words
    assert "spring valve least N at apart most N m/s bounce surge N order" in said.words
    assert max(map(len, said.out.splitlines())) <= 80


def test_a_valve_that_does_not_land_is_told(shop: Shop) -> None:
    words = call("simulate", "B56", "--cam", "B2", "--valves", "--spring", "S2", "--speed", 8000).words
    assert "never" in words
    assert "nan" not in words


def test_data_hang_together(shop: Shop) -> None:
    data = call("simulate", "B56", "--cam", "B2", "--valves", "--json").data
    assert (data["engine"], data["cam"], data["follower"]) == ("B56", "B2", "hydraulic roller")
    assert set(data["versions"]) == {"knowledge", "catalogue", "motion"}
    found = {each["spring"]: each for each in data["springs"]}
    assert found["S1"]["limit_rpm"] is None
    assert "solid" in found["S1"]["why_not"]
    for valve in found["S2"]["valves"]:
        assert len(valve["speeds"]) == 141
        below = [each for each in valve["speeds"] if each["speed_rpm"] < valve["parts_rpm"]]
        assert all(each["least_force_n"] > 0.0 and each["apart_deg"] == 0.0 for each in below)
    first = min(valve["parts_rpm"] for valve in found["S2"]["valves"])
    assert found["S2"]["limit_rpm"] == pytest.approx(data["speed_factor"] * first)


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--speed", 6000), ("Valve motion at 6000 rpm", "as the cam asks", "S2, intake")),
        ((), ("Valve trains by speed", "seating speed [m/s]", "least contact force [N]")),
        (("--spring", "S2"), ("Surge by orders of the cam, S2, intake", "order 10")),
    ],
)
def test_motion_is_drawn(
    shop: Shop, tmp_path: Path, options: tuple[object, ...], told: tuple[str, ...]
) -> None:
    file = tmp_path / "valves.svg"
    said = call("simulate", "B56", "--cam", "B2", "--valves", *options, "--chart", file)
    assert said.code == 0
    assert str(file) in said.err
    drawn = file.read_text(encoding="utf-8")
    assert all(each in drawn for each in told)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (("--valves", "--idle"), "--idle"),
        (("--valves", "--from", 2000, "--throttle", 0.5), "--throttle, --from"),
        (("--valves", "--cam", "B2", "--cam", "F56"), "more than one camshaft"),
        (("--valves", "--speed", 300), "1000 to 8000 rpm"),
        (("--valves", "--from", 0), "--from"),
        (("--valves", "--shelf"), "--shelf"),
        (("--valves", "--spring", "S9"), "no such spring fits this engine"),
        (("--spring", "S2"), "with --valves"),
        (("--valves", "--chart", "valves.jpg"), ".svg or .png"),
    ],
)
def test_what_does_not_go_together_is_refused(shop: Shop, options: tuple[object, ...], message: str) -> None:
    code, error = refused("simulate", "B56", *options)
    assert (code, error["kind"]) == (3, "bad-input")
    assert message in error["message"]


def test_a_job_is_turned_with_its_kit(shop: Shop) -> None:
    said = call("simulate", shop.jobs / "J3.yaml", "--valves", "--spring", "S2")
    assert said.code == 0
    assert "B51 with B1" in said.words
    assert "S2 QS-362.16" in said.words
    code, error = refused("simulate", shop.jobs / "J3.yaml", "--valves", "--cam", "B1")
    assert code == 3
    assert "that of its kit" in error["message"]
