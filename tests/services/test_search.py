"""A search for a job: what stays in, what is excluded, taken up again, stopped, by one worker and by two."""

from __future__ import annotations

import json
import math
import os
import signal
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tappetry.jobs.reader import read_job
from tappetry.records.job import Job
from tappetry.records.problems import BadInput, Refusal
from tappetry.search.goals import Goal, score
from tappetry.services.kits import identify_job
from tappetry.services.search import Searched, Wish, search
from tappetry.services.search_cams import STEEPNESS, STEPS, Proved, free_between, ground, made, proved
from tappetry.services.shop import Shop, demo_folder, open_shop
from tappetry.simulation.engine import Mesh

pytestmark = pytest.mark.slow

COARSE = Wish(goals=(Goal.TORQUE, Goal.POWER), first=2000.0, last=5000.0, step=1500.0, mesh=Mesh(4, 6, 5, 12))
GRIND = replace(COARSE, generation=4, generations=2)


@pytest.fixture(scope="module")
def shop() -> Shop:
    return open_shop(demo_folder())


@pytest.fixture(scope="module")
def job(shop: Shop) -> Job:
    return read_job(shop.jobs / "J1.yaml", shop.knowledge)


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("search") / "kept.json"


@pytest.fixture(scope="module")
def whole(shop: Shop, job: Job, kept: Path) -> Searched:
    return search(shop, job, GRIND, quiet, kept)


def quiet(share: float, text: str) -> None:
    assert 0.0 <= share <= 1.0
    del text


class Heard:
    """How far a search said it was."""

    def __init__(self) -> None:
        self.shares: list[float] = []
        self.turned: list[str] = []

    def __call__(self, share: float, text: str) -> None:
        self.shares.append(share)
        if text.endswith("turned"):
            self.turned.append(text)


def answer(found: Searched) -> list[tuple[str, float, float]]:
    return [(each.camshaft.name, each.figures.torque, each.figures.power) for each in found.front]


def test_no_camshaft_on_the_front_is_beaten_and_each_other_one_is(whole: Searched) -> None:
    def scores(each: object) -> tuple[float, ...]:
        return tuple(score(goal, each.figures) for goal in GRIND.goals)  # type: ignore[attr-defined]

    everything = [scores(each) for each in (*whole.front, *whole.beaten)]

    def beaten(one: tuple[float, ...]) -> bool:
        return any(
            other != one and all(a >= b for a, b in zip(other, one, strict=True)) for other in everything
        )

    assert not any(beaten(scores(each)) for each in whole.front)
    assert all(beaten(scores(each)) for each in whole.beaten)


def test_what_no_kit_takes_is_out_and_says_why(whole: Searched) -> None:
    (out,) = whole.excluded
    assert out.camshaft.name == "B3"
    assert "phaser keep-limited" in out.why
    names = [each.camshaft.name for each in (*whole.front, *whole.beaten)]
    assert {"F56", "B1", "B2", "B4"} <= set(names)
    assert "B3" not in names


def test_full_curves_and_ends_of_tolerances_stand_beside_the_front(whole: Searched) -> None:
    for each in whole.front:
        assert [round(point.engine_speed * 30 / math.pi) for point in each.turned.points] == [
            2000,
            3500,
            5000,
        ]
        for goal in GRIND.goals:
            assert each.less[goal] <= score(goal, each.figures) <= each.more[goal]
        assert each.less[Goal.TORQUE] < each.more[Goal.TORQUE]


def test_a_search_is_taken_up_where_it_was_stopped(
    shop: Shop, job: Job, whole: Searched, tmp_path: Path
) -> None:
    kept = tmp_path / "kept.json"

    def stop(share: float, text: str) -> None:
        del share
        if text.startswith("3 of") and text.endswith("turned"):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        search(shop, job, GRIND, stop, kept)
    assert len(json.loads(kept.read_text())["search"]) >= 3
    heard = Heard()
    again = search(shop, job, replace(GRIND, workers=2), heard, kept)
    assert heard.turned[0].startswith("1 of 1 ")
    assert heard.shares == sorted(heard.shares)
    assert heard.shares[-1] == pytest.approx(1.0)
    assert answer(again) == answer(whole)
    assert [each.less for each in again.front] == [each.less for each in whole.front]


def test_what_is_kept_is_not_turned_again(shop: Shop, job: Job, whole: Searched, kept: Path) -> None:
    heard = Heard()
    assert answer(search(shop, job, GRIND, heard, kept)) == answer(whole)
    assert heard.turned == []


def test_a_half_written_file_leaves_the_last_good_one(
    shop: Shop, job: Job, whole: Searched, kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copy = tmp_path / "kept.json"
    copy.write_bytes(kept.read_bytes())

    def fails(old: object, new: object) -> None:
        raise OSError("the disk is full")

    monkeypatch.setattr("os.replace", fails)
    with pytest.raises(BadInput):
        search(shop, job, replace(GRIND, first=2500.0), quiet, copy)
    assert copy.read_bytes() == kept.read_bytes()
    assert answer(whole)


def test_a_floor_of_vacuum_excludes(shop: Shop, job: Job) -> None:
    wish = replace(COARSE, step=3000.0, goals=(Goal.VACUUM,), least_vacuum=50e3)
    found = search(shop, job, wish, quiet)
    assert [each.camshaft.name for each in found.front] == ["F56"]
    why = {each.camshaft.name: each.why for each in found.excluded}
    assert set(why) == {"B2", "B3", "B4"}
    assert why["B2"].startswith("vacuum at idle 4")
    assert why["B2"].endswith("at least 50.0 kPa")
    with pytest.raises(Refusal, match="No camshaft stays in"):
        search(shop, job, replace(wish, least_vacuum=99e3), quiet)


def test_an_idle_that_is_too_uneven_excludes(shop: Shop, job: Job) -> None:
    wish = replace(COARSE, step=3000.0, goals=(Goal.ROUGHNESS,))
    found = search(shop, job, replace(wish, most_roughness=0.10), quiet)
    assert [each.camshaft.name for each in found.front] == ["F56"]
    weighed = found.front[0]
    assert weighed.figures.roughness is not None
    assert 0.01 < weighed.figures.roughness < 0.10
    assert weighed.less[Goal.ROUGHNESS] <= -weighed.figures.roughness <= weighed.more[Goal.ROUGHNESS] < 0.0
    why = {each.camshaft.name: each.why for each in found.excluded}
    assert why["B2"].startswith("it idles too unevenly to say: ")
    assert why["B1"].startswith("work at idle differs by ")
    assert why["B1"].endswith("from cycle to cycle, at most 10.0%")


def test_a_converter_that_stalls_too_low_excludes(shop: Shop, job: Job) -> None:
    wish = replace(COARSE, step=3000.0, goals=(Goal.STALL,), least_stall=math.radians(-6.0 * 60.0))
    found = search(shop, job, wish, quiet)
    assert [each.camshaft.name for each in found.front] == ["F56"]
    assert found.front[0].figures.stall == pytest.approx(0.0, abs=1e-9)
    assert found.front[0].less[Goal.STALL] < 0.0 < found.front[0].more[Goal.STALL]
    assert [each.camshaft.name for each in found.beaten] == ["B1"]
    why = {each.camshaft.name: each.why for each in found.excluded}
    assert why["B4"].startswith("the converter stalls at -1")
    assert why["B4"].endswith(" rpm, at least -60 against the factory's camshaft")


def test_a_file_that_is_none_of_a_search_is_told(shop: Shop, job: Job, tmp_path: Path) -> None:
    file = tmp_path / "other.json"
    file.write_text("[1, 2]")
    with pytest.raises(BadInput) as caught:
        search(shop, job, COARSE, quiet, file)
    assert "this is no file of a search" in str(caught.value)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"last": 0.0}, "no such engine runs at this speed (read: 0)"),
        ({"first": 100.0}, "no such engine runs at this speed (read: 100)"),
        ({"first": 5000.0, "last": 4000.0}, "the band is empty (read: 4000)"),
        ({"step": 0.0}, "speeds do not rise (read: 0)"),
        ({"step": 1e-320}, "that makes 1000000001 speeds"),
        ({"step": 1e-3}, "speeds (read: 0.001)"),
        ({"step": 9000.0}, "a band has two speeds at least (read: 9000)"),
    ],
)
def test_a_band_that_is_none_is_told(shop: Shop, job: Job, change: dict[str, float], said: str) -> None:
    with pytest.raises(BadInput) as caught:
        search(shop, job, replace(COARSE, **change), quiet)
    assert said in str(caught.value)


def test_what_is_free_spans_the_grinds_of_the_family_unless_it_is_stated(shop: Shop, job: Job) -> None:
    spans = {
        each.name: (each.low, each.high) for each in free_between(shop, job, {"icl_deg": (104.0, 110.0)})
    }
    rows = [
        row
        for row in shop.catalogue.tables["grind"].values()
        if row["family"] == "BR" and row["follower"] == "hydraulic roller"
    ]
    assert spans["icl_deg"] == (104.0, 110.0)
    assert spans["lsa_deg"] == (min(row["lsa_deg"] for row in rows), max(row["lsa_deg"] for row in rows))
    with pytest.raises(BadInput, match="no such number is free"):
        free_between(shop, job, {"lift": (1.0, 2.0)})
    with pytest.raises(BadInput, match="icl_deg does not rise"):
        free_between(shop, job, {"icl_deg": (110.0, 104.0)})
    with pytest.raises(BadInput, match="icl_deg does not rise"):
        free_between(shop, job, {"icl_deg": (104.0, 104.5)})


def like(card: Mapping[str, Any]) -> dict[str, float]:
    """The specification of a card, as steep as its intake lobe."""
    names = [name for name in STEPS if name != STEEPNESS]
    steep = card["duration_006_intake_deg"] - card["duration_050_intake_deg"]
    return {**{name: float(card[name]) for name in names}, STEEPNESS: float(steep)}


def test_a_ground_camshaft_with_the_numbers_of_a_card_has_its_lobes(shop: Shop) -> None:
    card = shop.catalogue.tables["grind"]["B2"]
    made_of_it = ground(card, like(card)).card
    assert made_of_it["lobe_p_intake"] == pytest.approx(card["lobe_p_intake"], abs=2e-3)
    assert made_of_it["half_width_intake_deg"] == pytest.approx(card["half_width_intake_deg"], abs=2e-2)
    assert made_of_it["ecl_deg"] == card["ecl_deg"]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"duration_050_intake_deg": 200.0, "icl_deg": 106.0}, "effective compression suits the fuel"),
        ({"lobe_lift_intake_in": 0.40}, "the nose must pass the bearing bore"),
        ({"icl_deg": 80.0, "lsa_deg": 100.0}, "a valve that touches the piston"),
    ],
)
def test_a_proof_excludes_a_ground_camshaft(
    shop: Shop, job: Job, change: dict[str, float], said: str
) -> None:
    card = shop.catalogue.tables["grind"]["B2"]
    engine = identify_job(shop, job)
    assert proved(shop, job, engine, ground(card, like(card)), may_sign=False, why=True).stays
    out = proved(shop, job, engine, ground(card, {**like(card), **change}), may_sign=False, why=True)
    assert not out.stays
    assert out.broken > 0.0
    assert said in out.why


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"icl_deg": -10.0}, "intake centreline"),
        ({"lsa_deg": 40.0}, "exhaust centreline"),
        ({STEEPNESS: 5.0}, "duration over seat duration"),
        ({"lobe_lift_intake_in": 0.04}, "below 1"),
    ],
)
def test_what_is_no_camshaft_is_told(shop: Shop, change: dict[str, float], said: str) -> None:
    card = shop.catalogue.tables["grind"]["B2"]
    out = made(card, {**like(card), **change})
    assert isinstance(out, Proved)
    assert said in out.why


def test_a_cluster_that_loses_a_worker_finds_the_same(shop: Shop, job: Job, whole: Searched) -> None:
    from dask.distributed import LocalCluster

    with LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster:
        processes = [worker.process.pid for worker in cluster.workers.values()]

        def kill_one(share: float, text: str) -> None:
            del share
            if text.endswith("turned") and len(processes) == 2 and text.startswith("2 of"):
                os.kill(processes.pop(), signal.SIGKILL)

        found = search(shop, job, replace(GRIND, cluster=cluster.scheduler_address), kill_one)
    assert len(processes) == 1
    assert answer(found) == answer(whole)
    assert [each.less for each in found.front] == [each.less for each in whole.front]
