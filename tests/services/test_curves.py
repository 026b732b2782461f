"""Curves as long work: known by what the simulation sees, and the same after they were kept."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from tappetry.quantities.units import to_si
from tappetry.records.problems import BadInput, Refusal
from tappetry.services import curves
from tappetry.services import simulate as service
from tappetry.services.curves import kept_curve, wanted_curve, work_curve
from tappetry.services.queue import key_of
from tappetry.services.simulate import (
    LIMIT_OF_VACUUM,
    Point,
    Simulated,
    simulate_engine,
    simulate_idle,
    vacuum_limit,
)
from tappetry.simulation.engine import Mesh
from tappetry.store.columns import Document
from tests.kitting.support import demo

pytestmark = pytest.mark.slow

SPEEDS = (3000.0, 4000.0)


@pytest.fixture(autouse=True)
def _coarse(monkeypatch: pytest.MonkeyPatch) -> None:
    """Long cells and two speeds: what is looked at here is what is kept, not the flow."""
    for module in (service, curves):
        monkeypatch.setattr(module, "Mesh", lambda **given: Mesh(**given) if given else Mesh(4, 6, 5, 10))
    monkeypatch.setattr(curves, "speeds_of", lambda *_: SPEEDS)


def no_idle(*_: object) -> Simulated:
    raise Refusal("No opening of the throttle lets it idle.")


def through_the_store(data: dict[str, object]) -> dict[str, object]:
    """Plain data as the database gives it back."""
    column = Document()
    back = column.process_result_value(column.process_bind_param(data, None), None)  # type: ignore[arg-type]
    assert back is not None
    return back


def test_a_curve_is_kept_with_its_points_and_what_it_was_made_with() -> None:
    wanted = wanted_curve(demo(), "B51", "B1")
    told: list[tuple[float, str]] = []
    result = work_curve(demo(), wanted.task, lambda share, said: told.append((share, said)))
    curve = kept_curve(demo(), wanted.task, through_the_store(result))
    assert curve.idle is not None
    assert curve.vacuum == pytest.approx(curve.idle.ambient_pressure - curve.idle.manifold_pressure)
    assert 20e3 < (curve.vacuum or 0.0) < 80e3
    part_load = simulate_idle(demo(), "B51", "B1", None, lambda point: None)
    assert (curve.roughness,) == part_load.unevenness
    again = simulate_engine(demo(), "B51", "B1", SPEEDS, lambda point: None)
    assert curve.full.points == again.points
    assert curve.full.remarks == again.remarks
    assert curve.full.mesh == again.mesh
    assert [share for share, _ in told] == sorted(share for share, _ in told)
    assert told[-1] == (pytest.approx(1.0), "4000 of 4000 rpm")
    made = curve.made_with
    assert made["speeds_rpm"] == list(SPEEDS)
    assert made["engine"]["intake"]["lobe_lift"] == again.described.engine.intake.lobe_lift
    assert set(made["versions"]) == {"knowledge", "catalogue", "breathing"}
    rest = {name: value for name, value in made.items() if name not in ("versions", "sources")}
    assert key_of(curves.KIND, rest) == wanted.key, "what is kept is all that the mark is made of"


def test_an_engine_that_does_not_idle_is_told_and_its_curve_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(curves, "simulate_idle", no_idle)
    wanted = wanted_curve(demo(), "B51")
    curve = kept_curve(demo(), wanted.task, work_curve(demo(), wanted.task, lambda *_: None))
    assert (curve.idle, curve.vacuum, curve.no_idle) == (
        None,
        None,
        "No opening of the throttle lets it idle.",
    )
    assert len(curve.full.points) == 2


Change = Callable[[pytest.MonkeyPatch], None]


@pytest.mark.parametrize(
    "change",
    [
        lambda patch: patch.setattr(curves, "model_mark", lambda: "another"),
        lambda patch: patch.setattr(curves, "speeds_of", lambda *_: (3000.0,)),
        lambda patch: patch.setattr(curves, "Mesh", lambda: Mesh(4, 4, 4, 4)),
    ],
    ids=("model", "speeds", "mesh"),
)
def test_what_changes_a_number_makes_another_curve(monkeypatch: pytest.MonkeyPatch, change: Change) -> None:
    first = wanted_curve(demo(), "B51", "B1")
    assert wanted_curve(demo(), "B51", "B1") == first
    assert wanted_curve(demo(), "B51", "B2").key != first.key
    change(monkeypatch)
    assert wanted_curve(demo(), "B51", "B1").key != first.key


def test_a_curve_is_not_made_of_text_that_changed_since() -> None:
    wanted = wanted_curve(demo(), "B51", "B1")
    with pytest.raises(Refusal, match="The shop's text says otherwise of this engine or camshaft than when"):
        work_curve(demo(), {**wanted.task, "key": "0" * 64}, lambda *_: None)


def test_an_engine_without_breathing_is_bad_input() -> None:
    with pytest.raises(BadInput, match="there is no such engine to simulate"):
        wanted_curve(demo(), "B99")


def test_fuel_for_no_work_is_kept_as_nothing() -> None:
    point = simulate_engine(demo(), "B51", "", (3000.0,), lambda point: None).points[0]
    idle: Point = replace(point, fuel_consumption=math.inf)
    assert curves.plain_point(idle)["fuel_consumption"] is None
    assert curves.point_of(through_the_store(curves.plain_point(idle))) == idle


def test_the_limit_of_vacuum_is_the_house_books() -> None:
    assert vacuum_limit(demo()) == pytest.approx(
        to_si(demo().knowledge.book.limits[LIMIT_OF_VACUUM], "inHg", "pressure")
    )
