"""Springs: the stock spring with the tow cam, and boost on the seat.

Margins are worked out by hand from the demo's numbers; limits are the invented shop's.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tappetry.kitting.resolve import attempt
from tappetry.proofs.margins import margin
from tappetry.records.verdict import Verdict
from tests.kitting.support import Ask, bought, demo
from tests.stories.telling import fact, grounds, line_of, of, proof_of, refusal, requested

pytestmark = pytest.mark.slow

TOWING = Ask("A01", "B1", heads="on", use="tow")
BOOSTED = Ask("A08", "B4", "remove", facts={"boost": fact("10 psi", "measured", "gauge")})


# ---- the stock spring with the tow cam --------------------------------------------------------------------


def test_the_stock_spring_goes_with_the_tow_cam() -> None:
    """1.800 - 1.110 - 0.525 = 0.165 in; 120 lb on the seat, 120 + 372 x 0.525 = 315 lb open."""
    kit = of(TOWING)
    line = line_of(kit, "QS-362.16")
    assert line.importance == "must"
    assert proof_of(kit, "spring-not-solid").value == pytest.approx(0.165, abs=0.0005)
    assert proof_of(kit, "seat-load").value == pytest.approx(120)
    assert proof_of(kit, "bind-excess").verdict is Verdict.NOTE, "above 0.150 in: the surge is noted"
    assert {"QS-R10.16", "QS-V08.16"} <= bought(kit).keys(), "retainers and seals are looked at again"
    problem, solution, _ = attempt(requested(TOWING))
    assert solution is not None
    assert problem.values.named("open_load_lb", problem.views(solution.chosen)) == pytest.approx(315, abs=0.5)


def test_the_noted_surge_is_acceptable() -> None:
    """29,400 a minute over a cam that turns 3,250 times: 9.0 at 6,500 rpm, more at 5,600."""
    proof = proof_of(of(TOWING), "bind-excess")
    assert "10.5 times the cam speed at 5600 rpm" in proof.said
    fast = of(replace(TOWING, plan={"rpm": 6500}))
    assert "9.0 times the cam speed at 6500 rpm" in proof_of(fast, "bind-excess").said


def test_the_stock_spring_is_rejected_with_its_margin() -> None:
    """1.800 - 1.235 - 0.5247 = 0.040 in, and its maker asks for 0.050 in."""
    refused = refusal(replace(TOWING, plan={"pins": ["QS-110.16"]}))
    assert "a solid spring breaks rocker, pushrod or cam" in grounds(refused)
    assert "0.0403 in" in str(refused)
    request = requested(TOWING)
    spring = {**demo().catalogue.numbered("QS-110.16")[0].attributes, "fitted": True, "renewed": True}
    problem, solution, _ = attempt(request)
    assert solution is not None
    views = {**problem.views(solution.chosen), "valve_springs": spring}
    proof = request.knowledge.proofs["spring-not-solid"]
    assert problem.values.number(proof.value, views) == pytest.approx(0.0403, abs=0.0001)
    assert margin(problem.values, proof, views) == pytest.approx(0.0403 - 0.050, abs=0.0001)


def test_it_looked_fine_with_the_lift_of_the_old_cam() -> None:
    """0.285 x 1.65 = 0.470 in: 1.800 - 1.235 - 0.470 = 0.095 in."""
    request = requested(TOWING)
    problem, solution, _ = attempt(request)
    assert solution is not None
    views = problem.views(solution.chosen)
    old = demo().knowledge.tables["grind"]["F51"]
    spring = {**demo().catalogue.numbered("QS-110.16")[0].attributes, "fitted": True, "renewed": True}
    with_old = {**views, "valve_springs": spring, "camshaft": {**views["camshaft"], **old}}
    assert problem.values.named("bind_margin_in", with_old) == pytest.approx(0.0885, abs=0.001)
    intake = problem.values.named("lift_intake_in", with_old)
    assert 1.800 - 1.235 - intake == pytest.approx(0.095, abs=0.0005)


def test_springs_that_measure_well_still_go_when_the_lift_takes_their_margin() -> None:
    kit = of(replace(TOWING, facts={"spring-load": fact("98 %", "measured", "spring tester")}))
    assert bought(kit)["QS-362.16"] == 1


def test_the_customer_cannot_decline_what_is_a_must() -> None:
    refused = refusal(replace(TOWING, plan={"declined": {"valve-springs": "they are fine"}}))
    assert "cannot be declined" in refused.message
    assert "customer: the customer declines valve springs: they are fine" in grounds(refused)


# ---- boost on the seat ------------------------------------------------------------------------------------


def test_boost_takes_load_from_the_seat() -> None:
    """52 mm of valve, 3.292 in2 x 10 psi = 33 lb: 120 - 33 = 87 lb is below 95, but only with boost."""
    assert bought(of(replace(BOOSTED, facts={})))["QS-362.16"] == 1
    kit = of(BOOSTED)
    assert "QS-362.16" not in bought(kit)
    assert {"QS-366.16", "QS-468.16"} & bought(kit).keys()
    assert proof_of(kit, "seat-load").value >= 95


@pytest.mark.parametrize(
    ("spring", "seat", "bind"),
    [("QS-366.16", 102, 0.148), ("QS-468.16", 123.5, 0.153)],
    ids=["conical: 135 - 33", "dual on its own seat: 156 - 33"],
)
def test_either_stronger_spring_passes(spring: str, seat: float, bind: float) -> None:
    kit = of(replace(BOOSTED, plan={"pins": [spring]}))
    assert proof_of(kit, "seat-load").value == pytest.approx(seat, abs=0.6)
    assert proof_of(kit, "spring-not-solid").value == pytest.approx(bind, abs=0.00051)


def test_retainers_seals_and_locks_follow_the_spring() -> None:
    for spring in ("QS-366.16", "QS-468.16"):
        lines = bought(of(replace(BOOSTED, plan={"pins": [spring]})))
        if spring == "QS-366.16":
            assert "QS-R30.16" in lines
        else:
            assert {"QS-V18.16", "QS-B14.16"} <= lines.keys(), "its own locator, and the short seal"
            assert "QS-V08.16" not in lines, "the seal that carries a seat cannot stand under it"
            assert ("QS-R40.16" in lines) == ("QS-K10.32" in lines), "10 degree cones take 10 degree locks"


def test_the_weak_spring_is_refused_by_its_load_under_boost() -> None:
    refused = refusal(replace(BOOSTED, plan={"pins": ["QS-362.16"]}))
    assert "a valve that bounces breaks" in grounds(refused)


def test_a_boosted_plan_without_a_stated_boost_is_told() -> None:
    kit = of(replace(BOOSTED, use="boosted", facts={}))
    finding = next(f for f in kit.findings if f.id == "boost-stated")
    assert finding.verdict is Verdict.WARN
    assert finding.advice == "state the boost, gauge"
