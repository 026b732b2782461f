"""What a previous owner has changed: rockers of another ratio, another head, a thread in the pan."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tappetry.kitting.resolve import attempt
from tests.kitting.support import Ask, bought, state_of
from tests.stories.telling import fact, grounds, line_of, of, proof_of, refusal, requested

pytestmark = pytest.mark.slow

PICKUP = Ask("A01", "B1")
SEDAN = Ask("A06", "B2", "keep-limited", "remove")


@pytest.mark.parametrize(("ratio", "lift"), [(1.65, 0.525), (1.7, 0.541), (1.8, 0.572)])
def test_the_ratio_that_was_measured_makes_the_lift(ratio: float, lift: float) -> None:
    """0.318 in of lobe over the rockers that are in it, and every clearance with it."""
    ask = replace(PICKUP, facts={"rocker-ratio": fact(ratio, "measured", "dial on the valve")})
    problem, solution, _ = attempt(requested(ask))
    assert solution is not None
    assert problem.values.named("lift_in", problem.views(solution.chosen)) == pytest.approx(lift, abs=0.0006)
    kit = of(ask)
    assert not kit.unknowns
    assert state_of(kit, "rocker-arms") == "reuse"
    solid = proof_of(kit, "spring-not-solid")
    assert solid.value == pytest.approx(1.800 - 1.110 - lift, abs=0.0006)


def test_a_head_whose_valves_reach_the_wall_stops_the_job() -> None:
    """An L head spans 94.80 mm: 0.60 mm to each side of a bore of 96.0, where 1.0 is the least."""
    refused = refusal(replace(PICKUP, facts={"head-type": fact("L", "seen", "casting")}))
    assert refused.message == "Job A01-B1 cannot be quoted."
    said = grounds(refused)
    assert "valves clear the cylinder wall" in said
    assert "0.6 mm, at least 1 mm: 0.4 mm short" in said
    assert "seen: follows from head type L (seen, casting): engine.valve_span_mm = 94.8" in said
    assert "another head" in [str(way) for way in refused.ways_out]


@pytest.mark.parametrize(("thread", "plug"), [("M20x1.5", "IF-M20P"), ("M22x1.5", "IF-M22P")])
def test_the_plug_of_the_pan_follows_the_thread_that_was_measured(thread: str, plug: str) -> None:
    ask = replace(SEDAN, facts={"pan-bypass-thread": fact(thread, "measured", "thread gauge")})
    kit = of(ask)
    assert bought(kit)[plug] == 1
    assert not line_of(kit, plug).holds
    other = {"IF-M20P": "IF-M22P", "IF-M22P": "IF-M20P"}[plug]
    assert other not in bought(kit)
    assert "several threads stand within one family" in grounds(refusal(replace(ask, plan={"pins": [other]})))


def test_a_plug_by_the_era_alone_is_held_until_it_is_measured() -> None:
    kit = of(SEDAN)
    assert any("must be measured before the order" in hold for hold in line_of(kit, "IF-M20P").holds)


def test_a_pan_without_the_port_takes_no_plug() -> None:
    kit = of(replace(SEDAN, facts={"pan-bypass-thread": fact("none", "measured", "looked under")}))
    assert not {"IF-M20P", "IF-M22P"} & bought(kit).keys()


def test_an_overbore_takes_its_gasket() -> None:
    """104.5 mm and 106.0 leave 1.5 mm; 105.5 and 106.0 leave half a millimetre, so the next size is taken."""
    lines = bought(
        of(Ask("A08", "B2", "keep-limited", facts={"overbore": fact("0.5 mm", "measured", "gauge")}))
    )
    assert lines["PG-106-130"] == 2
    wide = bought(
        of(Ask("A08", "B2", "keep-limited", facts={"overbore": fact("1.5 mm", "measured", "gauge")}))
    )
    assert wide["PG-107-130"] == 2
    assert "PG-106-130" not in wide


def test_a_cover_without_a_breather_sends_its_hose_elsewhere() -> None:
    kit = of(replace(SEDAN, plan={"pins": ["IF-OT8"]}))
    assert {"MO-8809931": 1, "IF-OT8": 1}.items() <= bought(kit).items()
    assert state_of(kit, "breather-routing") == "by hand"
    assert state_of(of(SEDAN), "breather-routing") == "reuse"
