"""A measurement takes the place of the listed value in every proof at once; lines change where one fails."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from tappetry.jobs.reader import read_job
from tappetry.records.evidence import Grade
from tappetry.records.job import Job
from tappetry.records.problems import BadInput
from tappetry.records.verdict import Proof, Verdict
from tappetry.services.doubts import doubted
from tappetry.services.identify import read_fact
from tappetry.services.kits import kit_for_job
from tappetry.services.measured import Measured, measured
from tappetry.services.shop import Shop, demo_folder

pytestmark = pytest.mark.slow

HERE = "a test"


@cache
def shop() -> Shop:
    return Shop(demo_folder())


def job(name: str) -> Job:
    return read_job(shop().jobs / f"{name}.yaml", shop().knowledge)


@cache
def found(name: str, *readings: str) -> Measured:
    return measured(shop(), job(name), readings, HERE)


def by_id(proofs: tuple[Proof, ...]) -> dict[str, Proof]:
    return {proof.id: proof for proof in proofs}


def test_a_size_of_the_engine_moves_every_proof_that_hangs_on_it_and_no_other() -> None:
    each = found("J1", "installed-height=1.795 in ±0.002")
    moved = {after.id for _, after in each.moved()}
    assert {"spring-not-solid", "bind-excess", "seat-load", "open-load", "float-speed"} <= moved
    assert not {"pv-intake", "preload-window", "quench-least", "retainer-to-seal"} & moved
    assert each.difference is not None
    assert each.difference.bought == ()


def test_as_ordered_is_what_a_job_with_that_fact_proves_of_the_same_parts() -> None:
    reading = "1.795 in ±0.002"
    each = found("J1", f"installed-height={reading}")
    fact = read_fact(shop().knowledge, "installed-height", reading, "measured", "bench", None, None)  # type: ignore[arg-type]
    assert fact is not None
    assert fact.grade is Grade.measured
    stated = job("J1")
    result = doubted(shop(), kit_for_job(shop(), replace(stated, facts=(*stated.facts, fact))))
    for name, proof in by_id(result.kit.proofs).items():
        mine = by_id(each.as_ordered)[name]
        assert (mine.value, mine.limit, mine.verdict) == (proof.value, proof.limit, proof.verdict)
        assert mine.band == pytest.approx(proof.band)
        assert mine.chance_of_failing == pytest.approx(proof.chance_of_failing)


def test_a_part_that_measures_badly_gives_way_to_another() -> None:
    each = found("J1", "valve_springs.solid_in=1.180 in ±0.002")
    solid = by_id(each.as_ordered)["spring-not-solid"]
    assert solid.verdict is Verdict.STOP
    assert each.before.kit is not None
    assert each.after.kit is not None
    before = by_id(each.before.kit.proofs)["spring-not-solid"]
    assert before.value is not None
    assert solid.value == pytest.approx(before.value - (1.180 - 1.110))
    assert solid.band is not None
    assert before.band is not None
    assert solid.band < before.band
    assert by_id(each.after.kit.proofs)["spring-not-solid"].verdict is Verdict.PASS
    assert each.difference is not None
    gone = [line.part for line in each.difference.bought if line.new_quantity == 0]
    come = [line.part for line in each.difference.bought if line.old_quantity == 0]
    assert gone
    assert come
    springs = [
        line.part for line in each.before.kit.lines if any(f.need == "valve-springs" for f in line.needs)
    ]
    assert set(springs) <= set(gone)


def test_a_part_that_measures_well_stays_and_is_known_better() -> None:
    each = found("J1", "valve_springs.seat_lb=121 lb ±1")
    assert each.difference is not None
    assert each.difference.bought == ()
    assert each.after.kit is not None
    (share,) = [
        share
        for share in by_id(each.after.kit.proofs)["seat-load"].doubt.shares  # type: ignore[union-attr]
        if share.name == "valve_springs.seat_lb"
    ]
    assert (share.value, share.plus, share.origin) == (121.0, pytest.approx(1.0), "stated")


def test_a_measured_size_of_the_engine_can_change_a_line_too() -> None:
    each = found("J3", "base-circle=40.9 mm")
    assert by_id(each.as_ordered)["preload-window"].verdict is Verdict.STOP
    assert each.difference is not None
    (change,) = each.difference.changes
    assert change.origin.kind == "fact"
    assert (change.origin.member, change.origin.old, change.origin.new) == ("base_circle_mm", "40", "40.9")


def test_a_name_in_conditions_is_the_same_as_an_id() -> None:
    first, second = (found("J3", f"{name}=40.9 mm") for name in ("base-circle", "engine.base_circle_mm"))
    assert first.as_ordered == second.as_ordered


def test_where_no_kit_is_left_the_refusal_says_why() -> None:
    each = found("J3", "valve-drop-intake=0.120 in")
    assert each.after.kit is None
    assert each.after.refusal is not None
    assert each.difference is None


@pytest.mark.parametrize(
    ("reading", "message", "value"),
    [
        ("installed-height", "a measurement cannot be read", "installed-height"),
        (
            "instaled-height=1.8 in",
            "there is no such attribute; did you mean installed-height?",
            "instaled-height",
        ),
        ("valve_spring.solid_in=1.1 in", "there is no such place in the kit", "valve_spring"),
        ("valve_springs.solid=1.1 in", "there is no such attribute of a part", "solid"),
        ("valve_springs.solid_in=one", "solid_in cannot be read", "one"),
        ("installed-height=1.8 lb", "'lb'", "1.8 lb"),
        ("lifters_standard.cup_offset_in=0.1 in", "no part is bought for this place", "lifters_standard"),
    ],
)
def test_a_reading_that_cannot_be_used_is_told(reading: str, message: str, value: str) -> None:
    with pytest.raises(BadInput) as error:
        measured(shop(), job("J3"), [reading], HERE)
    (told,) = error.value.complaints
    assert message in told.message
    assert (told.where.file, told.value) == (HERE, value)
