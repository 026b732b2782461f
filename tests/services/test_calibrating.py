"""Calibrations of a shop: read from its own curve, kept under a name, used for another camshaft."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from tappetry.records.problems import BadInput, Refusal
from tappetry.services import calibrating
from tappetry.services.breathing import describe
from tappetry.services.calibrating import (
    Measured,
    calibrate_engine,
    calibrated,
    kept_calibration,
    read_measured,
    remarks_of,
)
from tappetry.services.shop import Shop
from tappetry.simulation.calibration import CONSTANTS
from tappetry.simulation.engine import Mesh
from tests.kitting.support import demo

HEAD = "speed_rpm,torque_nm\n"


@pytest.fixture
def own(tmp_path: Path) -> Shop:
    """The invented shop, with a folder of its own for what it keeps."""
    shop = Shop(tmp_path, demo().folder)
    shop.__dict__["knowledge"], shop.__dict__["catalogue"] = demo().knowledge, demo().catalogue
    return shop


def file_of(tmp_path: Path, text: str) -> Path:
    file = tmp_path / "curve.csv"
    file.write_text(text, encoding="utf-8")
    return file


def test_a_measured_curve_is_read(tmp_path: Path) -> None:
    file = file_of(tmp_path, "\ufeff" + HEAD + "2000, 371.5\n\n3000,385\n")
    assert read_measured(file) == Measured((2000.0, 3000.0), (371.5, 385.0))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", ":1: other columns are wanted; expected speed_rpm,torque_nm"),
        ("rpm,nm\n2000,370\n", ":1: other columns are wanted (read: rpm,nm)"),
        (HEAD + "2000,fast\n", ":2: this is no speed and torque (read: 2000,fast); expected two numbers"),
        (HEAD + "2000\n", ":2: this is no speed and torque (read: 2000)"),
        (
            HEAD + "2000,370\n1500,360\n",
            ":3, speed_rpm: no such speed here (read: 1500); expected rising, 2000 to",
        ),
        (
            HEAD + "100,370\n",
            ":2, speed_rpm: no such speed here (read: 100); expected rising, 500 to 9000 rpm",
        ),
        (HEAD + "2000,-3\n", ":2, torque_nm: no such torque (read: -3); expected above 0, below 5000 N.m"),
        (HEAD + "2000,nan\n", ":2, torque_nm: no such torque (read: nan)"),
    ],
)
def test_what_is_no_curve_is_told_with_its_line(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(BadInput) as told:
        read_measured(file_of(tmp_path, text))
    assert said in str(told.value)


@pytest.mark.slow
def test_what_was_found_is_kept_and_used_for_another_camshaft(
    own: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(calibrating, "Mesh", lambda: Mesh(4, 6, 5, 10))
    measured = Measured((2500.0, 4000.0, 5000.0), (360.0, 380.0, 360.0))
    heard: list[float] = []
    found, file = calibrate_engine(own, "B51", "", measured, "b51-dyno", heard.append)
    assert file == own.folder / "calibrations" / "b51-dyno.json"
    assert heard
    assert found.misfit_after < 0.5 * found.misfit_before
    assert kept_calibration(own, "b51-dyno") == kept_calibration(own, "b51-dyno")
    kept = kept_calibration(own, "b51-dyno")
    assert replace(kept, made_with={}) == replace(found, made_with={})
    assert set(kept.made_with) == {"model", "versions", "sources", "engine", "mesh", "settling"}
    for constant in kept.constants:
        assert constant.low <= constant.after <= constant.high
        assert constant.source
    stated = describe(demo(), "B51", "B2")
    other = calibrated(stated, kept)
    assert [each.read(other.engine) for each in CONSTANTS] == pytest.approx(
        [each.after for each in kept.constants]
    )
    assert other.engine.intake == stated.engine.intake
    with pytest.raises(BadInput, match="it is that of another engine"):
        calibrated(describe(demo(), "B56"), kept)
    (said,) = remarks_of(kept)
    assert said.startswith("calibrated by b51-dyno: measured with F51, misfit of torque ")
    monkeypatch.setattr(calibrating, "model_mark", lambda: "another")
    assert remarks_of(kept)[1].endswith("another state of the model: calibrate again")


@pytest.mark.slow
def test_a_curve_in_other_units_is_refused_and_not_kept(own: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """In lb.ft: a quarter less than the engine gives, more than any loss of a runner explains."""
    monkeypatch.setattr(calibrating, "Mesh", lambda: Mesh(4, 6, 5, 10))
    pounds = Measured((2500.0, 4000.0, 5000.0), (292.0, 307.0, 309.0))
    with pytest.raises(Refusal, match=r"off by 3\d% as stated and \d\d% at best, at most 10%") as told:
        calibrate_engine(own, "B51", "", pounds, "pounds", lambda misfit: None)
    assert "lb.ft" in told.value.ways_out[0]
    assert not (own.folder / "calibrations").exists()


@pytest.mark.slow
def test_too_few_speeds_are_told(own: Shop) -> None:
    with pytest.raises(BadInput, match="measured speeds = 2 must be at least 3"):
        calibrate_engine(
            own, "B51", "", Measured((2500.0, 4000.0), (360.0, 380.0)), "short", lambda misfit: None
        )
    assert not (own.folder / "calibrations").exists()


def test_a_calibration_that_is_not_there_or_none_is_told(own: Shop) -> None:
    with pytest.raises(
        BadInput,
        match=r"there is no such calibration \(read: mine\); expected a name that is kept; none is yet",
    ):
        kept_calibration(own, "mine")
    with pytest.raises(BadInput, match=r"no such name \(read: \.\./other\)"):
        kept_calibration(own, "../other")
    folder = own.folder / "calibrations"
    folder.mkdir()
    (folder / "mine.json").write_text(json.dumps({"name": "mine"}))
    with pytest.raises(BadInput, match="this is no calibration"):
        kept_calibration(own, "mine")
