"""`tappetry simulate`: a point, a curve, camshafts side by side, and what is refused."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tappetry.services import simulate as service
from tappetry.services.shop import Shop, make_demo_shop
from tappetry.simulation import cycle
from tappetry.simulation.engine import Mesh
from tappetry.simulation.idle import NoIdle
from tests.cli.calling import call

pytestmark = pytest.mark.slow


@pytest.fixture(autouse=True)
def _coarse(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """Long cells: what is looked at here are words and numbers that hang together, not the flow."""
    monkeypatch.setattr(service, "Mesh", lambda: Mesh(4, 6, 5, 12))


def test_a_point_is_told_with_everything_behind_it() -> None:
    said = call("simulate", "B51", "--speed", 4000)
    assert said.code == 0
    assert "B51 with F51, factory B51, on regular" in said.words
    for what in (
        "speed 4000 rpm",
        "in air of 100.0 kPa, 1.0 of it vapour, and 25 degC; corrected: SAE J1349 1",
        "friction: valve train -0.",
        "knock integral 0.",
        "effective compression 8.",
        "vacuum in the manifold",
    ):
        assert what in said.words
    assert "kernels made ready" in said.err
    assert "4000 rpm" in said.err


def test_a_point_does_not_bring_up_what_it_does_not_need(tmp_path: Path) -> None:
    program = (
        "import sys; from tappetry.cli import main; code = main(sys.argv[1:]);"
        " print(*sorted(sys.modules)); raise SystemExit(code)"
    )
    shop = make_demo_shop(tmp_path / "shop")
    said = subprocess.run(
        [sys.executable, "-c", program, "simulate", "B51", "--speed", "4000"],
        env={**os.environ, "TAPPETRY_HOME": str(shop.folder)},
        capture_output=True,
        text=True,
        check=True,
    )
    modules = set(said.stdout.splitlines()[-1].split())
    assert {"llvmlite", "tappetry.simulation.cycle_kernels"} <= modules
    assert not modules & {"numba", "scipy", "cffi", "tappetry.simulation.compiling"}
    assert not modules & {"sqlalchemy", "ortools", "altair", "cel"}
    assert not modules & {"tappetry.knowledge.model", "tappetry.catalogue.catalogue", "tappetry.records.kit"}


def test_a_point_as_data_hangs_together() -> None:
    said = call("simulate", "B51", "--speed", 4000, "--json")
    assert said.code == 0
    (curve,) = said.data["curves"]
    (point,) = curve["points"]
    assert (said.data["engine"], curve["cam"], curve["fuel"]) == ("B51", "F51", "regular")
    assert curve["made_with"]["settled_change"] == 3e-3
    assert set(said.data["versions"]) == {"knowledge", "catalogue", "breathing"}
    assert said.data["sources"]["friction"].startswith("Patton, Nitschke and Heywood, SAE 890836")
    assert point["power_kw"] == pytest.approx(point["torque_nm"] * 4000 * math.pi / 30e3)
    parts = point["friction_pressure_kpa"]
    assert parts["total"] == pytest.approx(sum(parts.values()) - parts["total"])
    assert point["indicated_pressure_kpa"] - parts["total"] == pytest.approx(point["brake_pressure_kpa"])
    assert len(point["trapped_air_g"]) == len(point["residual_share"]) == 8
    assert 300 < point["torque_nm"] < 480
    air = curve["air"]
    assert (air["dry_pressure_kpa"], air["vapour_pressure_kpa"], air["temperature_k"]) == (99.0, 1.0, 298.15)
    factors = {each["standard"]: each["factor"] for each in air["power_corrections"]}
    assert factors["SAE J1349"] == pytest.approx(1.0, abs=1e-4), "it is simulated in that standard's air"
    assert 0.0 < point["roughness_percent"] < 2.0, "full load burns evenly"
    assert point["roughness_why_not"] == ""
    assert abs(point["energy_error"]) < 1e-9


def test_a_curve_fits_a_narrow_terminal() -> None:
    said = call("simulate", "B51", "--from", 4000, "--to", 4500)
    assert "rpm N.m kW filling bmep pump rub left late knock degC" in said.words
    assert "most torque" in said.words
    assert max(map(len, said.out.splitlines())) <= 80


def test_camshafts_stand_side_by_side() -> None:
    said = call(
        "simulate", "B51", "--cam", "F51", "--cam", "B1", "--from", 3000, "--to", 4000, "--step", 1000
    )
    assert said.code == 0
    assert "B1 gains" in said.words
    data = call("simulate", "B51", "--cam", "B1", "--from", 3000, "--to", 4000, "--step", 1000, "--json").data
    (curve,) = data["curves"]
    assert [point["speed_rpm"] for point in curve["points"]] == [3000, 4000]
    for point in curve["points"]:
        assert f"{point['torque_nm']:.0f} {point['power_kw']:.0f}" in said.words


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["B99"], "there is no such engine to simulate"),
        (["B51", "--cam", "O1"], "the camshaft is not one for Brindle V8"),
        (["B51", "--speed", "4000", "--throttle", "0"], "no such opening"),
        (["B51", "--speed", "4000", "--throttle", "1.1"], "no such opening"),
        (["B51", "--idle", "--speed", "100"], "no such engine runs at this speed"),
        (["B51", "--speed", "100"], "no such engine runs at this speed"),
        (["B51", "--from", "3000", "--to", "2000"], "the last speed is below the first"),
        (["B51", "--from", "0"], "no such engine runs at this speed (read: 0)"),
        (["B51", "--to", "0"], "no such engine runs at this speed (read: 0)"),
        (["B51", "--step", "0"], "speeds do not rise"),
        (["B51", "--step", "nan"], "speeds do not rise (read: nan)"),
        (["B51", "--step", "inf"], "speeds do not rise (read: inf)"),
        (["B51", "--step", "1e-320"], "that makes 1000000001 speeds"),
        (["B51", "--speed", "3000", "--to", "4000"], "that does not go together (read: --to)"),
        (["B51", "--idle", "--throttle", "0.5"], "that does not go together (read: --throttle)"),
        (["B51", "--idle", "--from", "700"], "that does not go together (read: --from)"),
        (["B51", "--speed", "3000", "--keep", "../mine"], "no such name (read: ../mine)"),
        (["B51", "--speed", "3000", "--chart", "/proc/none/x.svg"], "the file cannot be written"),
        (["B51", "--step", "1"], "that makes 4601 speeds"),
    ],
)
def test_bad_input_is_told(words: list[str], said: str) -> None:
    answer = call("simulate", *words)
    assert answer.code == 3
    assert said in answer.words
    assert "made ready" not in answer.err, "told before any work"


def test_a_throttle_takes_torque_and_makes_vacuum() -> None:
    (curve,) = call("simulate", "B51", "--speed", 2000, "--throttle", 0.03, "--json").data["curves"]
    (point,) = curve["points"]
    assert 20 < point["manifold_vacuum_kpa"] < 70
    assert point["torque_nm"] < 250
    assert point["fuel_flow_kg_per_s"] * 14.6 == pytest.approx(point["air_flow_kg_per_s"], rel=0.05)


def test_camshafts_at_one_speed_have_a_line_each() -> None:
    said = call("simulate", "B51", "--cam", "F51", "--cam", "B1", "--speed", 3000)
    assert said.code == 0
    assert "cam rpm N.m kW filling vacuum kPa residual uneven late pump bar" in said.words
    lines = [line.split() for line in said.out.splitlines() if line.split()[:1] in (["F51"], ["B1"])]
    assert [line[:2] for line in lines] == [["F51", "3000"], ["B1", "3000"]]
    assert float(lines[0][2]) > 300
    assert max(map(len, said.out.splitlines())) <= 80


def test_idle_is_told_with_its_vacuum() -> None:
    said = call("simulate", "OS39", "--idle")
    assert said.code == 0
    for what in (
        "speed 600 rpm",
        "knock integral not looked for",
        "fuel for work no work",
        "note: the throttle is open by 0.",
        "work from cycle to cycle differs by ",
        "idle: even (work differs by ",
        "enough for power brakes, which want 34 kPa (10.0 inHg)",
    ):
        assert what in said.words


def test_an_engine_that_does_not_idle_is_a_refusal(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(engine: object, speed: float, settling: object) -> None:
        raise NoIdle(speed, 0.2, -5e3)

    monkeypatch.setattr(service, "idle", never)
    said = call("simulate", "B51", "--idle")
    assert said.code == 2
    assert "with 20.00% of its throttle -5 kPa are left at the crankshaft" in said.words


def test_cycles_that_do_not_repeat_are_a_refusal(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(run: cycle.Run, settling: cycle.Settling) -> None:
        raise cycle.NotSettled(run.speed, 80, 2, "trapped air", 0.03, settling.change, 0.1)

    monkeypatch.setattr("tappetry.simulation.results.settle_cycles", never)
    said = call("simulate", "B51", "--speed", 1000)
    assert said.code == 2
    assert (
        "trapped air of cylinder 3 still changes by 3.00% from one to the next, allowed is 0.30%"
        in said.words
    )


def test_it_is_told_where_it_knocks_and_where_the_bench_ended() -> None:
    from dataclasses import replace

    from tests.simulation.bench_engine import COARSE, ENGINE, RPM

    engine = replace(
        ENGINE,
        fuel=replace(ENGINE.fuel, octane=50.0),
        intake=replace(ENGINE.intake, lobe_lift=8.5e-3),
    )
    from tappetry.simulation.results import simulate

    point, _ = simulate(engine, 2000 * RPM, COARSE)
    beyond, knocks = service._remarks([point])
    assert beyond.startswith("a valve lifts further than its port was measured")
    assert knocks == "it knocks at 2000 rpm although the fire is as late as it may be"
