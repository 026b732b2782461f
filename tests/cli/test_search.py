"""`tappetry search`: what is printed, drawn and written, and what is refused before any work."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tappetry.services import search as service
from tappetry.simulation.engine import Mesh
from tests.cli.calling import call


@pytest.mark.slow
def test_the_shelf_of_a_job(job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    coarse = service.Wish
    monkeypatch.setattr(service, "Wish", lambda **said: coarse(**said, mesh=Mesh(4, 6, 5, 12)))
    words = (
        "search",
        job,
        "--from",
        2000,
        "--to",
        5000,
        "--step",
        1500,
        "--goal",
        "torque",
        "--goal",
        "power",
    )
    out, chart = tmp_path / "found.json", tmp_path / "front.svg"
    said = call(*words, "--keep", tmp_path / "kept.json", "--out", out, "--chart", chart)
    assert said.code == 0
    assert "J1, B56: camshafts that no other one beats" in said.words
    assert "out: B3" in said.words
    assert "4 of 4 camshafts turned" in said.err
    assert "no other one beats it" in chart.read_text()
    data = call(*words, "--keep", tmp_path / "kept.json", "--json").data
    assert data == json.loads(out.read_text())
    assert data["goals"] == ["torque", "power"]
    for each in (*data["front"], *data["beaten"]):
        power = max(point["brake_power"] for point in each["points"])
        assert each["most_power_kw"] == pytest.approx(power / 1e3)
        assert len(each["points"]) == 3
    for each in data["front"]:
        ends = each["within_tolerance"]["mean_torque_nm"]
        assert ends["worst"] <= each["mean_torque_nm"] <= ends["best"]
    assert data["made_with"]["speeds_rpm"] == [2000.0, 3500.0, 5000.0]
    assert set(data["made_with"]["versions"]) == {"knowledge", "catalogue", "breathing"}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--goal", "noise"), "there is no such goal (read: noise)"),
        (("--workers", 0), "out of range (read: 0); expected 1 to 256"),
        (("--vacuum", 200), "no such vacuum (read: 200)"),
        (("--stall", 9000), "no such stall (read: 9000); expected -2000 to 2000 rpm"),
        (("--roughness", 0), "no such roughness (read: 0); expected above 0, at most 100 %"),
        (("--free", "icl_deg=104..110"), "nothing is ground (read: icl_deg=104..110)"),
        (("--grind", 4, "--free", "icl_deg=early"), "ends cannot be read (read: icl_deg=early)"),
        (("--out", "/proc/none/found.json"), "the file cannot be written"),
        (("--keep", "/proc/none/kept.json"), "the file cannot be written"),
        (("--goal", "torque", "--chart", "front.svg"), "a front is drawn between two goals (read: torque)"),
    ],
)
def test_what_cannot_be_searched_is_told_at_once(job: Path, words: tuple[str, ...], said: str) -> None:
    found = call("search", job, *words)
    assert found.code == 3
    assert said in found.words
    assert "proved" not in found.err
