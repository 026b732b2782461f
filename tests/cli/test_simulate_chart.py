"""`tappetry simulate --chart`: a picture beside the answer, and what is refused before the work."""

from __future__ import annotations

from pathlib import Path

import pytest

from tappetry.services import simulate as service
from tappetry.services.shop import Shop
from tappetry.simulation.engine import Mesh
from tests.cli.calling import call, refused


@pytest.mark.slow
def test_torque_and_power_are_drawn(shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(service, "Mesh", lambda: Mesh(4, 6, 5, 12))
    file = tmp_path / "torque.svg"
    said = call("simulate", "B51", "--from", 4000, "--to", 4500, "--chart", file, "--json")
    assert said.code == 0
    assert str(file) in said.err
    assert len(said.data["curves"][0]["points"]) == 2
    drawn = file.read_text(encoding="utf-8")
    for told in (
        "Torque and power, B51",
        "F51, factory B51",
        "torque [N·m]",
        "power [kW]",
        "engine speed [rpm]",
    ):
        assert told in drawn


@pytest.mark.slow
@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), ("Pressure at the valves, cylinder 1, OS39 with FOS at 3000 rpm", "wave is back")),
        (("--draw", "indicator"), ("Pressure and volume, cylinder 1", "volume of the cylinder [cm³]")),
        (("--draw", "lift"), ("Lift and flow, OS39 with FOS", "effective area [cm²]")),
        (("--draw", "filling"), ("Volumetric efficiency, OS39", "volumetric efficiency [%]")),
    ],
)
def test_one_speed_is_drawn_as_is_asked(
    shop: Shop,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    words: tuple[str, ...],
    told: tuple[str, ...],
) -> None:
    monkeypatch.setattr(service, "Mesh", lambda: Mesh(4, 6, 5, 12))
    file = tmp_path / "picture.svg"
    assert call("simulate", "OS39", "--speed", 3000, "--chart", file, *words).code == 0
    drawn = file.read_text(encoding="utf-8")
    assert all(each in drawn for each in told)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--draw", "waves"), "nothing says where to draw (read: waves); expected --chart FILE beside it"),
        (("--draw", "waves", "--chart", "x.svg"), "that is drawn of one camshaft at one speed"),
        (
            ("--draw", "lift", "--chart", "x.svg", "--cam", "F51", "--cam", "B1"),
            "that is drawn of one camshaft",
        ),
        (("--idle", "--chart", "x.svg"), "an idle is one point, and no line (read: torque)"),
        (("--draw", "lift", "--valves"), "--draw"),
        (("--draw", "lift", "--shelf"), "--draw"),
    ],
)
def test_what_cannot_be_drawn_is_told(
    shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], message: str
) -> None:
    monkeypatch.chdir(tmp_path)
    code, error = refused("simulate", "B51", *words)
    assert (code, error["kind"]) == (3, "bad-input")
    assert message in error["message"]


def test_no_picture_is_promised_that_cannot_be_made(shop: Shop, tmp_path: Path) -> None:
    code, error = refused("simulate", "B51", "--chart", tmp_path / "torque.jpg")
    assert (code, error["kind"]) == (3, "bad-input")
    assert ".svg or .png" in error["message"]


def test_too_many_camshafts_for_one_chart_are_refused(shop: Shop, tmp_path: Path) -> None:
    cams = [word for number in range(7) for word in ("--cam", f"cam-{number}")]
    code, error = refused("simulate", "B51", *cams, "--chart", tmp_path / "torque.svg")
    assert code == 3
    assert "at most 6" in error["message"]
