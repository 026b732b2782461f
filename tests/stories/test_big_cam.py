"""The automatic with the big cam: what is offered beside the price, and what the customer signs.

Classes of overlap, stall speeds and the vacuum that brakes want are common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tappetry.presentation.papers import quote_of
from tappetry.presentation.quote import quote_data
from tappetry.records.verdict import Verdict
from tests.kitting.support import Ask, demo, state_of
from tests.stories.telling import fact, finding_of, of, result, value

pytestmark = pytest.mark.slow

BIG_CAM = Ask("A09", "B3", "remove", "remove")
ADVISORIES = ("converter-advice", "cruise-advice", "vacuum-advice")


def test_the_big_cam_brings_its_advisories() -> None:
    kit = of(BIG_CAM)
    for name in ADVISORIES:
        finding = finding_of(kit, name)
        assert finding.verdict is Verdict.NOTE
        assert finding.offer
        assert finding.advice.endswith("the customer signs when he declines")
    assert {state_of(kit, "torque-converter"), state_of(kit, "axle-ratio")} == {"outside service"}


def test_each_advisory_has_its_figures() -> None:
    """Stall 1,900 of 2,800; 70 x 0.67 x 3.08 x 336 / 27.0 = 1,798 below 2,200; overlap 63."""
    kit = of(BIG_CAM)
    assert finding_of(kit, "converter-advice").said == "1900 rpm, wanted from 2800 rpm"
    cruise = finding_of(kit, "cruise-advice").said
    assert "1798 rpm at 70 mph in top gear, band from 2200 rpm" in cruise
    assert "an axle of 3.77 would reach it" in cruise
    assert "overlap 63 deg at 0.006 in, rough above 60" in finding_of(kit, "vacuum-advice").said
    assert value(BIG_CAM, "cruise_rpm") == pytest.approx(1798, abs=0.5)


def test_another_axle_comes_near_the_band() -> None:
    axle = replace(BIG_CAM, facts={"axle-ratio": fact(3.73, "seen", "axle tag")})
    assert value(axle, "cruise_rpm") == pytest.approx(2177, abs=0.5)
    long = replace(BIG_CAM, facts={"axle-ratio": fact(3.90, "seen", "axle tag")})
    assert finding_of(of(long), "cruise-advice").verdict is Verdict.PASS


def test_a_converter_that_stalls_high_enough_needs_no_advice() -> None:
    fast = replace(BIG_CAM, facts={"converter-stall": fact("2900 rpm", "seen", "converter tag")})
    assert finding_of(of(fast), "converter-advice").verdict is Verdict.PASS


def test_the_offers_stand_on_the_quote_to_be_taken_or_declined() -> None:
    signed = replace(BIG_CAM, signatures={"converter-advice": "keeps the stock converter"})
    data = quote_data(quote_of(demo(), result(signed), result(signed).job.date))
    offers = {each["offer"]: each["signed"] for each in data["findings"] if each["offer"]}
    assert offers == {
        "a torque converter with a higher stall speed": "keeps the stock converter",
        "another axle ratio": "",
        "a vacuum test on the finished car, and brake help where it reads too little": "",
    }


def test_a_small_cam_brings_none_of_them() -> None:
    kit = of(Ask("A05", "B1", deact="keep"))
    assert {finding_of(kit, name).verdict for name in ADVISORIES} == {Verdict.PASS}
