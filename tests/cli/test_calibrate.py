"""`tappetry calibrate`: what moved and what is left, kept and used by name."""

from __future__ import annotations

from pathlib import Path

import pytest

from tappetry.services import calibrating
from tappetry.services import simulate as service
from tappetry.services.shop import Shop
from tappetry.simulation.engine import Mesh
from tests.cli.calling import call


@pytest.mark.slow
def test_an_engine_is_calibrated_and_the_name_used(
    shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in (service, calibrating):
        monkeypatch.setattr(module, "Mesh", lambda: Mesh(4, 6, 5, 10))
    curve = tmp_path / "curve.csv"
    curve.write_text("speed_rpm,torque_nm\n2500,360\n4000,380\n5000,360\n")
    said = call("calibrate", "B51", curve, "--name", "b51-dyno")
    assert said.code == 0
    assert "B51 with F51, calibrated as b51-dyno" in said.words
    assert "0.9 to 0.99" in said.words, "limits stand beside each constant"
    assert "rpm measured N.m before after" in said.words
    assert "misfit " in said.err
    words = ("simulate", "B51", "--speed", 4000)
    (plain,) = call(*words, "--json").data["curves"]
    data = call(*words, "--calibration", "b51-dyno", "--json").data
    (fitted,) = data["curves"]
    assert data["calibrated_by"] == "b51-dyno"
    assert fitted["remarks"][0].startswith("calibrated by b51-dyno: measured with F51")
    assert abs(fitted["points"][0]["torque_nm"] - 380) < abs(plain["points"][0]["torque_nm"] - 380)
    other = call("simulate", "B56", "--speed", 4000, "--calibration", "b51-dyno")
    assert other.code == 3
    assert "it is that of another engine (read: B51); expected B56" in other.words


def test_a_calibration_that_is_not_there_is_told() -> None:
    said = call("simulate", "B51", "--speed", 4000, "--calibration", "nobody")
    assert said.code == 3
    assert "there is no such calibration (read: nobody)" in said.words
