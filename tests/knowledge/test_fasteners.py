"""The torque tables: complete, in order, told apart by class and nose, below the proof load of the thread.

The engines and their torques are invented. What is held against them comes from outside: proof loads of
ISO 898-1 and stress areas of the same standard (from memory), nut factors (common practice, no source), and
the habit of tightening a head from the middle outward (common practice, no source).
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from tappetry.engineering.joints import bolt_load, tension_from_torque
from tappetry.engineering.threads import metric_stress_area, property_class_strength
from tappetry.knowledge.fasteners import TorqueRow, TorqueTable
from tappetry.knowledge.language import compile_expression
from tappetry.knowledge.loader import load
from tappetry.records.problems import BadInput, Complaint, Where
from tappetry.records.procedure import Stage
from tests.kitting.support import demo
from tests.knowledge.bench import NAMES, bench
from tests.knowledge.shops import copy_of_demo, line_of, replant

pytestmark = pytest.mark.slow

TABLES = demo().knowledge.fasteners
ROWS = [(family, row) for family, table in TABLES.items() for row in table.rows]
DRAWN = [(family, order) for family, t in TABLES.items() for order in t.orders.values() if order.drawing]


def name(value: object) -> str | None:
    """How a test calls its row."""
    return f"{value.joint} {value.place}".strip() if isinstance(value, TorqueRow) else None


each_row = pytest.mark.parametrize(("family", "row"), ROWS, ids=name)
each_order = pytest.mark.parametrize(("family", "order"), DRAWN, ids=[f"{f} {o.id}" for f, o in DRAWN])


# ---- what a stage says -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stage", "text"),
    [
        (Stage(torque=45.0), "45 N.m"),
        (Stage(angle=math.radians(100)), "100 deg on"),
        (Stage(angle=-math.pi), "180 deg back"),
    ],
)
def test_a_stage_is_told_as_the_bench_reads_it(stage: Stage, text: str) -> None:
    assert str(stage) == text


def row_of(*stages: Stage) -> TorqueRow:
    return TorqueRow(
        "joint", compile_expression(True, Where()), "oil", "invented", "2026-01-12", stages=stages
    )


def test_the_last_torque_and_the_angle_after_it() -> None:
    crank = row_of(Stage(torque=80.0), Stage(angle=-math.pi), Stage(torque=80.0), Stage(angle=1.5))
    assert (crank.final_torque, crank.final_angle) == (80.0, 1.5), "turned back is no angle of tightening"
    head = row_of(Stage(torque=45.0), Stage(angle=1.0), Stage(angle=0.5))
    assert (head.final_torque, head.final_angle) == (45.0, 1.5)
    assert (row_of().final_torque, row_of().final_angle) == (None, 0.0)


# ---- the tables of the invented engines --------------------------------------------------------------------


def test_every_family_has_its_table() -> None:
    assert set(TABLES) == set(demo().knowledge.families)


def card(family: str) -> dict[str, list[str]]:
    """Joint, place and stages of a family, in one line each."""
    told: dict[str, list[str]] = {}
    for row in TABLES[family].rows:
        stages = " ".join(str(stage) for stage in row.stages) or row.fit
        told.setdefault(row.joint, []).append(stages)
    return told


def test_pin_the_torques_of_the_invented_engines() -> None:
    assert card("OS") == {
        "head-bolts-main": ["40 N.m 80 N.m 105 N.m"],
        "timing-gear-set": ["the cam gear is pressed to its shoulder"],
        "cam-retainer-bolts": ["22 N.m"],
        "crank-bolt": ["160 N.m"],
        "rocker-shaft-pedestals": ["35 N.m"],
        "front-cover-bolts": ["20 N.m"],
        "oil-pump-bolts": ["30 N.m"],
        "water-pump-bolts": ["22 N.m"],
        "pan-bolts": ["11 N.m"],
        "intake-bolts": ["25 N.m"],
        "exhaust-bolts": ["30 N.m"],
        "spark-plugs": ["25 N.m"],
    }
    assert card("ML") == {
        "head-bolts-main": ["40 N.m 75 N.m 98 N.m"],
        "cam-gear-bolts": ["44 N.m"],
        "cam-retainer-bolts": ["20 N.m"],
        "crank-bolt": ["135 N.m"],
        "rocker-nuts": ["25 N.m"],
        "front-cover-bolts": ["16 N.m"],
        "oil-pump-bolts": ["85 N.m"],
        "oil-pickup-tube": ["pressed into the pump to its shoulder, square to the pan, and tacked"],
        "water-pump-bolts": ["35 N.m"],
        "pan-bolts": ["20 N.m", "9 N.m"],
        "intake-bolts": ["35 N.m"],
        "exhaust-bolts": ["30 N.m"],
        "spark-plugs": ["25 N.m"],
    }
    assert card("BR") == {
        "head-bolts-main": [
            "45 N.m 100 deg on 60 deg on",
            "45 N.m 100 deg on 45 deg on",
            "45 N.m 110 deg on 40 deg on",
        ],
        "head-bolts-perimeter": ["21 N.m"],
        "head-studs": ["45 N.m 75 N.m 102 N.m"],
        "cam-gear-bolts": ["28 N.m", "55 N.m 55 deg on"],
        "phaser-bolt-valve": ["55 N.m 70 deg on"],
        "cam-retainer-bolts": ["22 N.m", "17 N.m"],
        "damper-settling": ["180 N.m"],
        "crank-bolt": ["80 N.m 180 deg back 80 N.m 95 deg on", "255 N.m"],
        "rocker-bolts": ["27 N.m"],
        "lifter-guide-bolts": ["9 N.m"],
        "valley-cover-bolts": ["18 N.m"],
        "knock-sensors": ["24 N.m"],
        "front-cover-bolts": ["21 N.m"],
        "oil-pump-bolts": ["29 N.m"],
        "oil-pickup-tube": ["10 N.m", "23 N.m"],
        "water-pump-bolts": ["12 N.m 26 N.m"],
        "pan-bolts": ["22 N.m", "9 N.m"],
        "pan-bypass-plug": ["38 N.m", "44 N.m"],
        "intake-bolts": ["6 N.m 11 N.m"],
        "exhaust-bolts": ["12 N.m 22 N.m"],
        "spark-plugs": ["17 N.m"],
        "cam-sensor": ["8 N.m"],
    }


@each_row
def test_stages_come_in_order(family: str, row: TorqueRow) -> None:
    """Torques rise, an angle follows a torque, and whoever turns back starts from a torque again."""
    torque, turned_back = 0.0, False
    for n, stage in enumerate(row.stages):
        if stage.torque is not None:
            assert stage.torque > torque or turned_back
            torque, turned_back = stage.torque, False
        elif stage.angle is not None and stage.angle < 0.0:
            assert n > 0
            turned_back = True
        else:
            assert torque > 0.0
            assert not turned_back
    assert not turned_back, "nothing is left loosened"
    if row.final_angle:
        assert row.single_use, (
            "tightened by angle past its torque: single use unless its maker says otherwise"
        )


@each_row
def test_a_row_says_where_it_comes_from(family: str, row: TorqueRow) -> None:
    assert "invented" in row.source
    assert re.fullmatch(r"\d{4}-\d{2}-\d{2}", row.checked)
    assert row.stages or row.fit


@each_row
def test_nothing_is_tightened_again_but_a_reusable_bolt_without_sealant(family: str, row: TorqueRow) -> None:
    """Torque and angle, and sealant that has cured, are never disturbed (common practice, no source)."""
    if row.retorque != "never":
        assert (row.final_angle, row.single_use, row.lubricant) == (0.0, False, "oil")


# ---- orders of tightening ----------------------------------------------------------------------------------


@each_order
def test_an_order_holds_every_bolt_of_a_head_once(family: str, order) -> None:
    stated = demo().knowledge.families[family].attributes
    bolts = int(stated["head-bolts-per-head"]) + int(stated["head-perimeter-bolts"])
    assert sorted(order.tightening) == list(range(1, bolts + 1))
    assert sorted(bolt for row in order.rows.values() for bolt in row) == sorted(order.tightening)
    assert sorted(bolt for line in order.drawing for bolt in line) == sorted(order.tightening)


@each_order
def test_loosening_is_tightening_reversed(family: str, order) -> None:
    assert order.loosening == order.tightening[::-1]


@each_order
def test_an_order_goes_from_the_middle_outward(family: str, order) -> None:
    """Column by column away from the middle, the large bolts first (common practice, no source)."""
    columns = {
        bolt: abs(column - (len(line) - 1) / 2) for line in order.drawing for column, bolt in enumerate(line)
    }
    small = order.rows.get("small", ())
    for bolts in (
        [b for b in order.tightening if b not in small],
        [b for b in order.tightening if b in small],
    ):
        away = [columns[bolt] for bolt in bolts]
        assert away == sorted(away)
    assert [bolt in small for bolt in order.tightening] == sorted(bolt in small for bolt in order.tightening)


@each_order
def test_the_rows_of_the_table_cover_the_drawing(family: str, order) -> None:
    """Whatever the class, each bolt of the head has one row of the table."""
    rows = [row for row in TABLES[family].rows if row.order == order.id and row.joint != "head-studs"]
    for head_class in {row.when.text for row in rows if row.joint == "head-bolts-main"}:
        for_class = [row for row in rows if row.when.text in (head_class, "true")]
        covered = [bolt for row in for_class for kind in row.bolts for bolt in order.rows[kind]]
        assert sorted(covered) == sorted(order.tightening)


# ---- proof loads of ISO 898-1 ------------------------------------------------------------------------------

#: Proof loads in N, ISO 898-1 tables for coarse and fine threads (from memory), by thread and class.
PROOF_LOADS = {
    ("M6x1.0", "8.8"): 11_600,
    ("M8x1.25", "8.8"): 21_200,
    ("M8x1.25", "10.9"): 30_400,
    ("M10x1.5", "8.8"): 33_700,
    ("M10x1.5", "10.9"): 48_100,
    ("M12x1.75", "10.9"): 70_000,
    ("M14x1.5", "10.9"): 104_000,
    ("M16x1.5", "10.9"): 139_000,
    ("M16x2.0", "10.9"): 130_000,
}
DRY = 0.20
#: Nut factors by lubricant (common practice, no source).
NUT_FACTORS = {"dry": DRY, "locker": DRY, "oil": 0.15, "sealant": 0.15, "paste": 0.13, "supplied": 0.13}
GRADED = [(family, row) for family, row in ROWS if row.property_class]


def size(row: TorqueRow) -> tuple[float, float]:
    """Diameter and pitch of a metric thread, in metres."""
    diameter, pitch = row.thread.removeprefix("M").split("x")
    return float(diameter) / 1e3, float(pitch) / 1e3


@pytest.mark.parametrize(("thread", "mark"), PROOF_LOADS)
def test_the_project_knows_the_proof_loads_of_the_standard(thread: str, mark: str) -> None:
    diameter, pitch = size(
        TorqueRow("joint", compile_expression(True, Where()), "dry", "-", "-", thread=thread)
    )
    stress = property_class_strength(mark, diameter).proof_stress
    computed = bolt_load(metric_stress_area(diameter, pitch), stress)
    assert computed == pytest.approx(PROOF_LOADS[thread, mark], rel=7e-3), "printed to three digits, twice"


def test_every_class_of_the_tables_is_checked() -> None:
    assert {(row.thread, row.property_class) for _, row in GRADED} == set(PROOF_LOADS)
    assert len(GRADED) > len(ROWS) / 2


@pytest.mark.parametrize("lubricated", [False, True], ids=["dry", "as lubricated"])
@pytest.mark.parametrize(("family", "row"), GRADED, ids=name)
def test_a_torque_stays_below_the_proof_load(family: str, row: TorqueRow, lubricated: bool) -> None:
    """Every torque of a row, which with an angle after it is only the snug torque."""
    factor = NUT_FACTORS[row.lubricant] if lubricated else DRY
    proof = PROOF_LOADS[row.thread, row.property_class]
    for stage in row.stages:
        if stage.torque is not None:
            assert tension_from_torque(stage.torque, factor, size(row)[0]) < proof


# ---- what a job takes of the table -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("job", "joint", "places"),
    [
        ("J1", "head-bolts-main", ["both rows"]),
        ("A02 B2 none none off track best", "head-studs", ["nuts"]),
        ("J1", "phaser-bolt-valve", [""]),
        ("J1", "cam-gear-bolts", []),
        ("J3", "phaser-bolt-valve", []),
        ("J5", "oil-pickup-tube", [""]),
    ],
)
def test_rows_by_class_and_nose(job: str, joint: str, places: list[str]) -> None:
    at = bench(job)
    assert [row.place for row in at.table.rows_for(joint, at.truth)] == places


@pytest.mark.parametrize(
    ("job", "joint", "torque", "degrees"),
    [
        ("J1", "head-bolts-main", 45.0, 150.0),
        ("J1", "cam-retainer-bolts", 17.0, 0.0),
        ("J3", "cam-retainer-bolts", 22.0, 0.0),
        ("J3", "cam-gear-bolts", 28.0, 0.0),
        ("J1", "crank-bolt", 80.0, 95.0),
        ("A02 B2 none none off track best", "crank-bolt", 255.0, 0.0),
        ("J1", "pan-bypass-plug", 38.0, 0.0),
    ],
)
def test_the_one_row_that_a_job_needs(job: str, joint: str, torque: float, degrees: float) -> None:
    at = bench(job)
    (row,) = at.table.rows_for(joint, at.truth)
    assert row.final_torque == torque
    assert math.degrees(row.final_angle) == pytest.approx(degrees)


def test_a_fixed_gear_by_its_nose() -> None:
    rows = [row for row in TABLES["BR"].rows if row.joint == "cam-gear-bolts"]
    for nose, told in (("N3", ["28 N.m"]), ("N1", ["55 N.m", "55 deg on"])):
        roots = {"cam_gear_bolts": {"fitted": True}, "camshaft": {"nose": nose}}
        (row,) = [row for row in rows if row.when.truth(roots)]
        assert [str(stage) for stage in row.stages] == told


def test_class_a_takes_another_angle_in_each_row() -> None:
    """An HB-A block whose heads come off; the early block of the J3 engine keeps its heads on."""
    at = bench("J3")
    rows = at.table.rows_for("head-bolts-main", at.truth)
    assert {row.bolts: round(math.degrees(row.final_angle)) for row in rows} == {
        ("upper",): 160,
        ("lower",): 145,
    }


#: Rows that count something else than the need: two fasteners of one tube, nuts of one stud set.
COUNTED_APART = {"oil-pickup-tube", "head-studs"}


@pytest.mark.parametrize("job", NAMES)
def test_the_counts_are_those_of_the_kit(job: str) -> None:
    """Pieces of the table and pieces of the need come from two files and must agree."""
    at = bench(job)
    needs = demo().knowledge.needs
    for joint in {row.joint for row in at.table.rows} & set(needs) - COUNTED_APART:
        rows = at.table.rows_for(joint, at.truth)
        fitted = at.resolution.views[needs[joint].root].get("fitted")
        if not rows or not fitted or any(row.count is None for row in rows):
            continue
        pieces = at.resolution.values.number(needs[joint].slots[0].pieces, at.resolution.views)
        assert sum(row.count or 0 for row in rows) == pieces, joint


@pytest.mark.parametrize("job", NAMES)
def test_every_joint_of_the_work_has_its_torque(job: str) -> None:
    """Of what a step tightens, that which stands in the engine has a row, and nothing else has."""
    at = bench(job)
    needs = demo().knowledge.needs
    for step in at.steps:
        for joint in step.torques:
            rows = at.table.rows_for(joint, at.truth)
            assert all(at.truth(row.when) for row in rows), f"{joint}: a condition is not known"
            if joint in needs:
                fitted = bool(at.resolution.views[needs[joint].root].get("fitted"))
                assert fitted == bool(rows), joint


# ---- mistakes in a table -----------------------------------------------------------------------------------

FILE = "families/marl/fasteners.yaml"


def complaint(folder: Path) -> Complaint:
    """The one complaint about a folder."""
    with pytest.raises(BadInput) as error:
        load(folder)
    (only,) = error.value.complaints
    return only


@pytest.mark.parametrize(
    ("old", "new", "field", "message", "value", "expected"),
    [
        ("family: ML", "family: MX", "family", "there is no such family", "MX", "BR or ML or OS"),
        (
            "family: ML",
            "family: OS",
            "family",
            "the family has two torque tables",
            "OS",
            "one table a family",
        ),
        (
            "{joint: rocker-nuts,",
            "{joint: rocker-nut,",
            "torques[4].joint",
            "there is no such joint",
            "rocker-nut",
            "did you mean rocker-nuts?",
        ),
        (
            "    order: head-bolts",
            "    order: spiral",
            "torques[0].order",
            "there is no such order",
            "spiral",
            "one of head-bolts",
        ),
        (
            "    bolts: [upper, middle, lower]",
            "    bolts: [upper, inner]",
            "torques[0].bolts[1]",
            "the order has no such row of bolts",
            "inner",
            "one of upper, middle, lower",
        ),
        (
            "    loosening: [15, 14, 13,",
            "    loosening: [15, 14, 16,",
            "orders.head-bolts.loosening",
            "bolts that are missing, drawn nowhere, or stand twice",
            "13, 16",
            "each bolt of the drawing once",
        ),
        (
            '      - "11 5 1 4 10"',
            '      - "11 5 1 4 4"',
            "orders.head-bolts.drawing",
            "bolts that are missing, drawn nowhere, or stand twice",
            "4",
            "each bolt of the drawing once",
        ),
    ],
)
def test_a_mistake_in_a_table(
    tmp_path: Path, old: str, new: str, field: str, message: str, value: str, expected: str
) -> None:
    planted = replant(tmp_path, FILE, old, new)
    with pytest.raises(BadInput) as error:
        load(planted.folder)
    found = [c for c in error.value.complaints if c.message == message and c.where.field == field]
    assert [(c.value, c.expected) for c in found] == [(value, expected)]
    file = "families/osier/fasteners.yaml" if "two" in message else FILE
    assert found[0].where.file == file


def test_a_condition_of_a_row_that_cannot_be_compiled(tmp_path: Path) -> None:
    planted = replant(tmp_path, FILE, "\"engine.era == 'late'\"", '"engine.era =="')
    found = complaint(planted.folder)
    line = line_of(planted.folder / FILE, "engine.era ==")
    assert found.where == Where(FILE, line, "torques[2].when")
    assert found.message.startswith("the condition cannot be read: ")


def test_a_family_may_have_no_table(tmp_path: Path) -> None:
    folder = copy_of_demo(tmp_path)
    (folder / "families/osier/fasteners.yaml").unlink()
    with pytest.raises(BadInput) as error:
        load(folder)
    told = {(c.message, c.value) for c in error.value.complaints}
    assert told == {
        ("there is no such joint", "timing-gear-set"),
        ("there is no such joint", "rocker-shaft-pedestals"),
    }, "but the order of work may then not tighten what no table knows"


def test_a_table_finds_its_rows_by_joint() -> None:
    row = row_of(Stage(torque=1.0))
    table = TorqueTable("QX", (row,))
    assert table.rows_for("joint", lambda _: True) == (row,)
    assert table.rows_for("joint", lambda _: None) == (row,), "not known is shown"
    assert table.rows_for("joint", lambda _: False) == ()
    assert table.rows_for("other", lambda _: True) == ()
