"""`tappetry simulate --shelf` and `--sweep`: tables and data that hang together, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from tappetry.cli.simulate_shelf import _down
from tappetry.services import simulate as service
from tappetry.services.shop import Shop
from tappetry.simulation.engine import Mesh
from tests.cli.calling import call


@pytest.fixture(autouse=True)
def _coarse(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """Long cells: what is looked at here are words and numbers that hang together, not the flow."""
    monkeypatch.setattr(service, "Mesh", lambda: Mesh(4, 6, 5, 12))


@pytest.mark.slow
def test_camshafts_stand_beside_the_factory_with_stall_and_what_to_ask(job: Path) -> None:
    words = ("simulate", job, "--shelf", "--cam", "B3", "--cruise", 110, "--from", 2000, "--step", 2000)
    said = call(*words)
    assert said.code == 0
    assert "B56: camshafts beside F56" in said.words
    assert "cam N.m at kW at vacuum uneven stall launch late ecr" in said.words
    assert "by its stated stall of 1850 rpm behind the factory's engine" in said.words
    assert "F56: its idle is even (work differs by " in said.words
    assert "works with the converter as it is (100.0% of the launch, wanted 90%)" in said.words
    assert "does not work with the converter as it is (8" in said.words
    assert "at 110 km/h 1756 rpm, load unknown" in said.words
    assert "ask: What is the drag coefficient times the frontal area? (drag-area)" in said.words
    assert max(map(len, said.out.splitlines())) <= 80
    data = call(*words, "--json").data
    factory, wild = data["cams"]
    assert (factory["cam"], wild["cam"]) == ("F56", "B3")
    assert factory["launch"]["stall_rpm"] == pytest.approx(1850)
    assert wild["launch"]["stall_shift_rpm"] < -100
    assert wild["launch"]["share"] < data["limits"]["launch_share"] == 0.9
    assert wild["vacuum_kpa"] < data["limits"]["vacuum_kpa"] < factory["vacuum_kpa"]
    assert factory["roughness_percent"] < 10
    assert wild["roughness_percent"] is None
    assert wild["roughness_why_not"]
    assert wild["effective_compression_ratio"] < factory["effective_compression_ratio"]
    assert factory["cruise"]["unknown"] == ["drag-area", "rolling-resistance", "driveline-efficiency"]
    assert [point["speed_rpm"] for point in wild["points"]] == pytest.approx([2000, 4000, 6000])


@pytest.mark.slow
def test_an_engine_without_a_vehicle_has_no_stall() -> None:
    said = call("simulate", "B51", "--shelf", "--cam", "F51", "--from", 3000, "--to", 4000, "--step", 1000)
    assert said.code == 0
    assert "stall and launch are unknown: the vehicle is not stated" in said.words


@pytest.mark.slow
def test_a_sweep_has_a_line_for_each_value(tmp_path: Path) -> None:
    chart = tmp_path / "sweep.svg"
    words = ("simulate", "B51", "--cam", "B2", "--sweep", "separation=108..116..4", "--speed", 4000)
    said = call(*words, "--chart", chart)
    assert said.code == 0
    assert "B51 with B2, Lamplight 218/226: lobe separation, cam, now 113 deg" in said.words
    assert "separation mean N.m N.m at kW at filling left late ecr" in said.words
    assert "<svg" in chart.read_text()
    assert max(map(len, said.out.splitlines())) <= 80
    data = call(*words, "--json").data
    assert (data["quantity"], data["unit"], data["now"]) == ("separation", "deg", pytest.approx(113))
    assert [row["value"] for row in data["rows"]] == [108, 112, 116]
    residuals = [max(row["points"][0]["residual_share"]) for row in data["rows"]]
    assert residuals == sorted(residuals, reverse=True), "closer lobes overlap more"


def test_a_share_is_never_rounded_up_to_a_limit_that_it_misses() -> None:
    assert [f"{_down(share):.1%}" for share in (0.89996, 0.9, 1.0 - 1e-12)] == ["89.9%", "90.0%", "100.0%"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ("--sweep", "lift=1..2..1"),
            "there is no such quantity to sweep (read: lift); expected one of advance",
        ),
        (("--sweep", "advance=0..4"), "values cannot be read (read: advance=0..4)"),
        (("--sweep", "advance=0..40..2"), "no such advance (read: 0..40..2); expected -12 to 12 deg, rising"),
        (("--sweep", "compression=4..12..1"), "(read: 4..12..1); expected 6 to 15, rising"),
        (("--sweep", "advance=0..4..1e-320"), "that makes 1000000001 values"),
        (("--shelf", "--chart", "torque.pdf"), "no such kind of picture (read: torque.pdf)"),
        (("--sweep", "compression=8..12..0"), "that makes 0 values (read: 0)"),
        (("--sweep", "compression=8..12..0.01"), "that makes 401 values (read: 0.01); expected 2 to 50"),
        (("--sweep", "advance=0..4..2", "--idle"), "that does not go together (read: --idle)"),
        (("--sweep", "advance=0..4..2", "--cam", "B1", "--cam", "B2"), "(read: several --cam)"),
        (("--shelf", "--speed", 4000), "that does not go together (read: --speed)"),
        (("--cruise", 100), "that does not go together (read: --cruise); expected --shelf beside it"),
        (("--shelf", "--cruise", 1000), "no such speed to cruise at (read: 1000); expected 20 to 250 km/h"),
        (("--shelf", "--cam", "F99"), "there is no such camshaft (read: F99)"),
        (("--shelf", "--cruise", 100), "no vehicle is stated that could cruise (read: B51)"),
    ],
)
def test_what_cannot_be_simulated_so_is_told(words: tuple[str, ...], said: str) -> None:
    answer = call("simulate", "B51", *words)
    assert answer.code == 3
    assert said in answer.words
    assert "made ready" not in answer.err, "told before any work"
