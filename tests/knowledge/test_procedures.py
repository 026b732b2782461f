"""The order of work: it leaves nothing of a kit out, stops where it must, and never cranks flat tappets dry.

What must come before what is common practice, no source: a cam reading needs a found top dead centre and a
released tensioner, the last bolt an accepted reading, a closed head its measurements, a start its oil.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tappetry.knowledge.language import Expression, compile_expression
from tappetry.knowledge.loader import load
from tappetry.knowledge.procedures import Step, stale_readings, steps_for
from tappetry.knowledge.units import SUFFIXES
from tappetry.quantities.unit_table import KINDS
from tappetry.records.problems import BadInput, Where
from tappetry.records.procedure import Reading
from tests.kitting.support import demo
from tests.knowledge.bench import NAMES, WORK, bench
from tests.knowledge.shops import copy_of_demo, replant

pytestmark = pytest.mark.slow

KNOWLEDGE = demo().knowledge
STEPS = {step.id: step for step in KNOWLEDGE.procedures}
READINGS = {reading.id: (step, reading) for step in STEPS.values() for reading in step.readings}
HARD_STOPS = {f"H{n}" for n in range(1, 11)}

each_job = pytest.mark.parametrize("job", NAMES)
each_job_and_work = pytest.mark.parametrize("job", [*NAMES, *WORK])


# ---- steps_for and stale_readings --------------------------------------------------------------------------


def step(name: str, when: str = "true", *readings: Reading) -> Step:
    condition = compile_expression(when, Where())
    return Step(name, "group", name, condition, "do it", "shop", readings=readings)


def test_the_steps_whose_condition_holds_in_their_order() -> None:
    steps = [step("c", "plan.c"), step("a", "plan.a"), step("b", "plan.b")]
    answers = {"plan.a": True, "plan.b": False, "plan.c": None}

    def truth(expression: Expression) -> bool | None:
        return answers[expression.text]

    assert [found.id for found in steps_for(steps, truth)] == ["c", "a"], "what is not known is shown"


def test_a_change_makes_readings_stale() -> None:
    by_gasket = Reading("gap", "gap", "mm", "feeler", stale_by=("gasket", "cam"))
    by_cam = Reading("angle", "angle", "deg", "wheel", stale_by=("cam",))
    never = Reading("bore", "bore", "mm", "gauge")
    steps = [step("one", "true", by_gasket, never), step("two", "true", by_cam)]
    assert stale_readings(steps, ["gasket"]) == ("gap",)
    assert stale_readings(steps, ["cam"]) == ("gap", "angle")
    assert stale_readings(steps, ["paint"]) == ()


# ---- nothing is left out -----------------------------------------------------------------------------------


@each_job_and_work
def test_every_condition_is_known_for_a_resolved_kit(job: str) -> None:
    at = bench(job)
    assert [found.id for found in at.steps if at.truth(found.when) is not True] == []


@each_job_and_work
def test_every_line_of_the_kit_is_used_up_by_a_step(job: str) -> None:
    at = bench(job)
    used = {need for found in at.steps for need in found.needs}
    assert {filled.need for line in at.resolution.kit.lines for filled in line.needs} - used == set()


@each_job_and_work
def test_labour_and_steps_tell_the_same_work(job: str) -> None:
    """Each operation that is charged has a step, and each step belongs to an operation that is charged."""
    at = bench(job)
    charged = {operation.code for operation in at.resolution.kit.operations}
    assert charged - {code for found in at.steps for code in found.operations} == set()
    assert [f.id for f in at.steps if f.operations and charged.isdisjoint(f.operations)] == []


def test_every_need_has_a_step() -> None:
    used = {need for found in STEPS.values() for need in found.needs}
    assert set(KNOWLEDGE.needs) - used == set()


def test_every_joint_is_tightened_in_a_step() -> None:
    joints = {row.joint for table in KNOWLEDGE.fasteners.values() for row in table.rows}
    assert joints == {joint for found in STEPS.values() for joint in found.torques}


def test_every_inspection_limit_is_measured() -> None:
    stated = {str(limit["id"]) for family in KNOWLEDGE.families.values() for limit in family.limits}
    assert stated == {reading.limit for _, reading in READINGS.values() if reading.limit}


def test_every_caution_stands_on_a_step_of_each_of_its_operations() -> None:
    for caution in KNOWLEDGE.cautions:
        shown = [found for found in STEPS.values() if caution["id"] in found.cautions]
        assert shown, caution["id"]
        covered = {code for found in shown for code in found.operations}
        assert set(caution.get("operations", ())) <= covered, caution["id"]


# ---- readings ----------------------------------------------------------------------------------------------


def test_a_reading_that_is_an_attribute_has_its_unit() -> None:
    shared = [name for name in READINGS if name in KNOWLEDGE.attributes]
    assert {"leak-down", "hub-groove", "timing-chain-slack", "spring-load"} <= set(shared)
    for name in shared:
        unit = KNOWLEDGE.attributes[name].unit
        expected = SUFFIXES.get(unit, unit) or "text"
        assert READINGS[name][1].unit == expected, name


def test_every_unit_is_one_that_the_program_knows() -> None:
    known = {spelling for kind in KINDS.values() for spelling in kind.by_spelling} | {"1", "text"}
    assert {reading.unit for _, reading in READINGS.values()} - known == set()


def test_a_reading_has_the_unit_of_its_limit() -> None:
    units = {limit["id"]: limit["unit"] for f in KNOWLEDGE.families.values() for limit in f.limits}
    for _, reading in READINGS.values():
        if reading.limit:
            assert reading.unit == units[reading.limit], reading.id


#: Whatever of these changes, piston-to-valve and pushrod length are taken anew (common practice, no source).
AFTER_WHICH_BOTH_ARE_STALE = [
    "machining-heads", "machining-deck", "valve-job", "lash-caps", "head-gaskets", "gasket-set-head",
    "crank-key", "camshaft", "cam-phaser",
]  # fmt: skip


@pytest.mark.parametrize("need", AFTER_WHICH_BOTH_ARE_STALE)
def test_head_gasket_key_cam_and_phaser_make_the_measured_fit_stale(need: str) -> None:
    stale = stale_readings(KNOWLEDGE.procedures, [need])
    assert {"pv-intake", "pv-exhaust", "pv-intake-far", "pv-exhaust-far", "pushrod-measured"} <= set(stale)


def test_a_spring_touches_no_reading_of_the_cam() -> None:
    stale = stale_readings(KNOWLEDGE.procedures, ["valve-springs"])
    assert stale == ("installed-height", "bind-margin", "spring-load")


# ---- what stands before what -------------------------------------------------------------------------------


def all_before(name: str) -> set[str]:
    """Every step that is declared to come before one, through however many others."""
    before = set(STEPS[name].after)
    return before.union(*(all_before(earlier) for earlier in before)) if before else before


BEFORE = [
    ("re-identify", "head-bolts"),
    ("heads-checked", "piston-to-valve"),
    ("heads-checked", "pushrod-length"),
    ("tdc", "degree"),
    ("tensioner-released", "degree"),
    ("degree", "piston-to-valve"),
    ("piston-to-valve", "piston-to-valve-far-end"),
    ("degree", "cam-bolt-final"),
    ("piston-to-valve", "cam-bolt-final"),
    ("piston-to-valve-far-end", "cam-bolt-final"),
    ("pushrod-length", "cam-bolt-final"),
    ("piston-to-valve", "valves-closed"),
    ("pushrod-length", "valves-closed"),
    ("spring-heights", "valves-closed"),
    ("piston-to-valve", "heads-set"),
    ("pushrod-length", "heads-set"),
    ("valves-closed", "heads-set"),
    ("clean", "heads-set"),
    ("heads-set", "head-bolts"),
    ("heads-set", "head-studs"),
    ("head-bolts", "preload-by-turns"),
    ("damper-settled", "crank-bolt"),
    ("leftovers", "fluids-in"),
    ("prime-by-pressure", "first-start-roller"),
    ("prime-by-pump-drive", "first-start-flat"),
    ("crank-for-pressure", "first-start-roller"),
    ("first-start-flat", "heads-again"),
    ("heads-again", "lash-hot"),
]


@pytest.mark.parametrize(("earlier", "later"), BEFORE, ids=[f"{a} before {b}" for a, b in BEFORE])
def test_a_step_declares_what_must_be_done_before(earlier: str, later: str) -> None:
    assert earlier in all_before(later)


@each_job_and_work
def test_a_job_has_its_steps_in_that_order(job: str) -> None:
    place = {name: n for n, name in enumerate(bench(job).ids)}
    for earlier, later in BEFORE:
        if earlier in place and later in place:
            assert place[earlier] < place[later], f"{earlier} before {later}"


@pytest.mark.parametrize("job", WORK)
def test_where_the_camshaft_stays_nobody_takes_it_out_or_degrees_it(job: str) -> None:
    at = bench(job)
    assert {found.group for found in at.steps}.isdisjoint({"cam", "phase"} if job == "J7" else {"cam"})
    out = {"cam-out", "cam-checked", "tdc", "degree", "piston-to-valve", "calibration", "first-service"}
    assert out.isdisjoint(at.ids)
    assert ("covers-off" in at.ids, "strip-top" in at.ids) == (job == "J7", job == "J8")


# ---- hard stops --------------------------------------------------------------------------------------------


def test_the_ten_hard_stops_are_there() -> None:
    assert {found.hard_stop for found in STEPS.values() if found.hard_stop} == HARD_STOPS


@each_job
def test_a_job_stops_at_every_stop_that_it_can_have(job: str) -> None:
    """With the heads on no head bolt is tightened; all the other stops belong to every job."""
    at = bench(job)
    stops = {found.hard_stop for found in at.steps if found.hard_stop}
    assert stops == HARD_STOPS - ({"H7"} if at.job.plan.heads == "on" else set())


@each_job
def test_a_phaser_that_stays_is_measured_at_both_ends(job: str) -> None:
    at = bench(job)
    both = {"piston-to-valve", "piston-to-valve-far-end"}
    expected = both if at.job.plan.phaser.startswith("keep") else {"piston-to-valve"}
    assert {found.id for found in at.steps if found.hard_stop == "H4"} == expected


# ---- variants ----------------------------------------------------------------------------------------------

#: One of each line belongs to every job.
ONE_OF = [
    ("drive-open", "drive-open-gears"),
    ("lifters-out", "lifters-held"),
    ("drive-fitted", "drive-fitted-gears"),
    ("dummy-fit", "checking-springs"),
    ("preload-by-turns", "preload-by-nut", "lash-cold"),
    ("damper-settled", "damper-keyed"),
    ("prime-by-pressure", "prime-by-pump-drive"),
    ("first-start-roller", "first-start-flat"),
]


@each_job
@pytest.mark.parametrize("variants", ONE_OF, ids=" or ".join)
def test_a_job_takes_one_variant(job: str, variants: tuple[str, ...]) -> None:
    assert len(set(variants) & set(bench(job).ids)) == 1


def test_every_step_is_taken_by_some_job() -> None:
    taken = {name for job in (*NAMES, *WORK) for name in bench(job).ids}
    assert set(STEPS) - taken == set()


def test_the_older_engines() -> None:
    """Solid flat tappets on gears, and a V8 with rollers put in: what they have and what they have not."""
    six = set(bench("OS-E O1 none none off daily standard").ids)
    assert {"drive-fitted-gears", "lifters-in-flat", "lash-cold", "heads-again", "lash-hot"} <= six
    assert {"ignition-timing", "prime-by-pump-drive", "first-start-flat"} <= six
    assert six.isdisjoint({"tensioner-released", "cam-bolt-final", "preload-by-turns", "calibration"})
    early = set(bench("J5").ids)
    assert {"thrust-button", "rocker-studs-in", "preload-by-nut", "distributor-gear"} <= early
    assert early.isdisjoint({"cam-retained", "tensioner-released", "heads-again"}), "sealant is not disturbed"
    late = set(bench("ML-L M1 none none off daily standard").ids)
    assert "cam-retained" in late
    assert "thrust-button" not in late


# ---- flat tappets are never cranked ------------------------------------------------------------------------

CRANKING = re.compile(r"\bcrank (?:\d+|for|without|until|it|the engine)", re.IGNORECASE)


def test_only_one_step_cranks_without_fire() -> None:
    telling = [f.id for f in STEPS.values() if CRANKING.search(f"{f.title}. {f.instruction}")]
    assert telling == ["crank-for-pressure"]


@pytest.mark.parametrize("grind", sorted(KNOWLEDGE.tables["grind"]))
def test_a_flat_tappet_is_never_cranked(grind: str) -> None:
    follower = KNOWLEDGE.tables["grind"][grind]["follower"]
    roots = {"camshaft": {"follower": follower}, "plan": {"conversion": True}, "access_oil": True}
    assert STEPS["crank-for-pressure"].when.truth(roots) == ("flat" not in follower)
    assert STEPS["first-start-flat"].when.truth(roots) == ("flat" in follower)
    assert STEPS["first-start-roller"].when.truth(roots) == ("flat" not in follower)


@each_job
def test_no_flat_tappet_job_has_extended_cranking(job: str) -> None:
    at = bench(job)
    flat = "flat" in at.resolution.views["camshaft"]["follower"]
    assert ("crank-for-pressure" in at.ids) != flat
    assert ("first-start-flat" in at.ids) == flat


# ---- where it comes from, and mistakes ---------------------------------------------------------------------


def test_every_step_names_its_source() -> None:
    assert {found.source for found in STEPS.values()} <= {"common practice", "trade", "shop", "maker"}


FILE = "procedures.yaml"


@pytest.mark.parametrize(
    ("old", "new", "field", "message", "value", "expected"),
    [
        (
            "- id: leak-down\n",
            "- id: compression\n",
            "id",
            "the step stands twice",
            "compression",
            "each step once",
        ),
        (
            "  after: [tdc, tensioner-released]\n",
            "  after: [tdc, tensioner-let-go]\n",
            "after[1]",
            "there is no such step",
            "tensioner-let-go",
            "a step further up in the file",
        ),
        (
            "  after: [degree]\n  cautions: [springs-on-the-engine]\n",
            "  after: [heads-set]\n  cautions: [springs-on-the-engine]\n",
            "after[0]",
            "checking-springs stands before it",
            "heads-set",
            "a step further up in the file",
        ),
        (
            "  needs: [phaser-limiter]\n",
            "  needs: [phaser-limitr]\n",
            "needs[0]",
            "there is no such need",
            "phaser-limitr",
            "did you mean phaser-limiter?",
        ),
        (
            "  operations: [OP90]\n",
            "  operations: [XY]\n",
            "operations[0]",
            "there is no such operation",
            "XY",
            "the id of one of the operations",
        ),
        (
            ", road-test]\n",
            ", rode-test]\n",
            "cautions[1]",
            "there is no such caution",
            "rode-test",
            "did you mean road-test?",
        ),
        (
            "  torques: [crank-bolt]\n",
            "  torques: [crank-blot]\n",
            "torques[0]",
            "there is no such joint",
            "crank-blot",
            "did you mean crank-bolt?",
        ),
        (
            "limit: deck-finish}",
            "limit: deck-finnish}",
            "readings[1].limit",
            "there is no such limit",
            "deck-finnish",
            "did you mean deck-finish?",
        ),
        (
            "proof: spring-not-solid-measured,",
            "proof: spring-solid,",
            "readings[1].proof",
            "there is no such proof",
            "spring-solid",
            "did you mean spring-not-solid?",
        ),
        (
            "    - {id: lash-hot, ",
            "    - {id: lash-cold, ",
            "readings[0].id",
            "the reading stands twice",
            "lash-cold",
            "each reading once",
        ),
    ],
)
def test_a_mistake_in_the_order_of_work(
    tmp_path: Path, old: str, new: str, field: str, message: str, value: str, expected: str
) -> None:
    folder = copy_of_demo(tmp_path)
    text = (folder / FILE).read_text(encoding="utf-8")
    assert text.count(old) == 1
    (folder / FILE).write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(BadInput) as error:
        load(folder)
    found = [c for c in error.value.complaints if c.message == message]
    assert [(c.where.file, c.value, c.expected) for c in found] == [(FILE, value, expected)]
    assert re.fullmatch(rf"\[\d+\]\.{re.escape(field)}", found[0].where.field)
    first = text[: text.index(old)].count("\n") + 1
    assert found[0].where.line in range(first, first + new.count("\n") + 1)


def test_a_stale_need_that_does_not_exist(tmp_path: Path) -> None:
    planted = replant(tmp_path, FILE, "stale_by: [valve-springs]}", "stale_by: [valve-spring]}")
    with pytest.raises(BadInput) as error:
        load(planted.folder)
    (found,) = error.value.complaints
    assert (found.where.file, found.where.line) == (FILE, planted.line)
    assert (found.message, found.value) == ("there is no such need", "valve-spring")
    assert found.expected == "did you mean valve-springs?"
