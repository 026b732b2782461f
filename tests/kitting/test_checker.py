"""The checker passes what is sound and says of what is not which rule, which part and which values."""

from __future__ import annotations

import ast
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import tappetry.kitting.checker as checker
from tappetry.kitting.checker import CheckComplaint, check_kit
from tappetry.kitting.kit import KitBuilder
from tappetry.kitting.resolve import attempt
from tappetry.records.kit import Filled, Kit, Unknown
from tappetry.records.plan import OwnPart
from tests.kitting.finished import JOBS, Finished, finished, line_of, planned, priced, with_line
from tests.kitting.small_shops import SmallShop, doubtful_shop, small_shop
from tests.kitting.support import Ask

pytestmark = pytest.mark.slow

ROOM = Path(checker.__file__).parent


def texts(complaints: tuple[CheckComplaint, ...], rule: str) -> list[str]:
    return [complaint.text for complaint in complaints if complaint.rule == rule]


def at_line(case: Finished, part: str) -> int:
    return next(at for at, line in enumerate(case.kit.lines) if line.part == part)


def changed(case: Finished, part: str, **values: Any) -> Kit:
    at = at_line(case, part)
    return with_line(case.kit, at, replace(case.kit.lines[at], **values))


# ---- what is sound passes ----------------------------------------------------------------------------------


@pytest.mark.parametrize("job", JOBS)
def test_the_demo_kits_pass(job: str) -> None:
    assert finished(job).judged() == ()


OTHER_PLANS = [
    ("J1", {"package": "least"}),
    ("J1", {"package": "best"}),
    ("J1", {"phaser": "remove", "cam": "B4"}),
    ("J1", {"deact": "keep", "cam": "B1"}),
    ("J1", {"pins": ("LX-3239",)}),
    ("J1", {"refused_parts": ("LX-3215", "WDW-PLUG8-4")}),
    ("J1", {"declined": {"rocker-bearing-kit": "keeps his rockers"}}),
    ("J1", {"own_parts": (OwnPart("oil-filter", "two filters from the shelf", pieces=2),)}),
    ("J1", {"need_by": date(2026, 3, 31)}),
    ("J3", {"package": "least"}),
    ("J3", {"package": "best"}),
    ("J3", {"heads": "off"}),
    ("J5", {"package": "least"}),
    ("J5", {"package": "best"}),
]


@pytest.mark.parametrize(("job", "plan"), OTHER_PLANS)
def test_kits_of_other_plans_pass(job: str, plan: dict[str, Any]) -> None:
    assert planned(job, **plan).judged() == ()


@settings(max_examples=100)
@given(st.integers(0, 2**32), st.sampled_from([small_shop, doubtful_shop]))
def test_solver_and_checker_agree_on_small_random_shops(
    number: int, draw: Callable[[int], SmallShop]
) -> None:
    """Two programs that share no code: what one makes of a random shop, the other finds nothing wrong with.

    The parts are given a description, which a price list must have.
    """
    shop = draw(number)
    shop = replace(shop, parts=tuple(replace(part, description="part") for part in shop.parts))
    request = shop.request()
    problem, solution, _ = attempt(request)
    assume(solution is not None)
    assert solution is not None
    kit = KitBuilder(problem, solution, {}, {}).build()
    hanging = {name for unknown in kit.unknowns for name in unknown.hangs_on_it}
    assert {kept.need for kept in kit.kept if kept.state == "open"} <= hanging, repr(shop)
    found = check_kit(kit, request.fixed, request.plan, request.knowledge, request.catalogue, request.today)
    assert [complaint for complaint in found if complaint.rule != "totals"] == [], repr(shop)
    assert texts(found, "totals") == ["the kit has no totals"]


def test_the_checker_imports_nothing_of_the_solver() -> None:
    """Beside the contract on layers: read here from the text itself."""
    allowed = ("tappetry.kitting.checker", "tappetry.knowledge", "tappetry.records", "tappetry.proofs")
    allowed += ("tappetry.assembly", "tappetry.catalogue.catalogue")
    for file in ROOM.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and str(node.module).startswith("tappetry"):
                assert str(node.module).startswith(allowed), f"{file.name}: {node.module}"


# ---- what is not is told with its values -------------------------------------------------------------------


def test_a_wrong_price_is_told_with_both_prices() -> None:
    found = finished("J1").judged(changed(finished("J1"), "PG-RC", unit_price=Decimal("30.99")))
    assert "PG-RC stands at 30.99, listed at 31.00" in texts(found, "price")


def test_a_wrong_line_total_is_told_with_its_arithmetic() -> None:
    found = finished("J1").judged(changed(finished("J1"), "PG-101-130", line_total=Decimal("101.00")))
    assert texts(found, "line-total") == ["2 x 51.00 = 102.00, the line says 101.00"]


def test_one_head_gasket_for_two_banks() -> None:
    case = finished("J1")
    gasket = case.kit.lines[at_line(case, "PG-101-130")]
    one = line_of(case.part(gasket), 1, gasket.needs)
    found = case.judged(case.retold(with_line(case.kit, at_line(case, "PG-101-130"), one)))
    assert texts(found, "pack-maths") == [
        "head-gaskets: 2 wanted, 1 given by 1 x PG-101-130 (1): short by 1 piece"
    ]


def test_a_third_head_gasket() -> None:
    case = finished("J1")
    gasket = case.kit.lines[at_line(case, "PG-101-130")]
    three = line_of(case.part(gasket), 3, gasket.needs)
    found = case.judged(case.retold(with_line(case.kit, at_line(case, "PG-101-130"), three)))
    assert texts(found, "overbuy") == ["3 x PG-101-130 is a unit too many: head-gaskets 2 wanted, 3 given"]


def test_a_loose_seal_beside_the_set_that_holds_it() -> None:
    case = finished("J3")
    at = at_line(case, "PG-FCK")
    box = case.kit.lines[at]
    seal = case.request.catalogue.find("PSG", "PG-FS")
    assert seal is not None
    wants = [claim for claim in box.needs if claim.need == "front-crank-seal"]
    rest = replace(box, needs=tuple(claim for claim in box.needs if claim not in wants))
    found = case.judged(case.retold(with_line(case.kit, at, rest, line_of(seal, 1, wants))))
    assert texts(found, "double-supply") == [
        "PG-FCK holds front-crank-seal, and PG-FS is bought for it again",
    ]


def test_plugs_beside_a_cover_with_bosses() -> None:
    case = finished("J1")
    plugs = case.request.catalogue.find("IFH", "IF-OT8")
    assert plugs is not None
    line = line_of(plugs, 1, [Filled("oil-tower-plugs", "", 8, 8)])
    found = case.judged(case.retold(replace(case.kit, lines=(*case.kit.lines, line))))
    (text,) = texts(found, "tower-seal")
    assert text.startswith(
        "valley-cover-plain: exactly one seal on every oil tower: plugs, or a cover with bosses;"
    )
    assert texts(found, "not-renewed") == [
        "oil-tower-plugs is not renewed (the towers are sealed once already): must be none, is new",
    ]


def test_a_spring_that_goes_solid_is_told_by_its_proof() -> None:
    case = finished("J1")
    spring = case.request.catalogue.find("QSV", "QS-110.16")
    assert spring is not None
    at = at_line(case, "QS-362.16")
    line = line_of(spring, 1, case.kit.lines[at].needs)
    (text,) = texts(case.judged(case.retold(with_line(case.kit, at, line))), "spring-not-solid")
    # 1.800 installed - 1.235 solid - 0.345 lobe x 1.65 ratio = -0.00425 in, and the spring wants 0.050 in.
    assert text == "spring is not solid at full lift: STOP at -0.00425 in, short by 0.05425 in"


def test_a_replaced_part_names_what_comes_in_its_place() -> None:
    case = finished("J1")
    old = case.request.catalogue.find("MOS", "MO-9160733")
    assert old is not None
    at = at_line(case, "MO-9144207")
    found = case.judged(case.retold(with_line(case.kit, at, line_of(old, 1, case.kit.lines[at].needs))))
    assert texts(found, "orderable") == [
        "MO-9160733 cannot be ordered: it is superseded, in its place comes MO-9160733A"
    ]


def test_a_part_that_comes_too_late() -> None:
    case = finished("J3")
    plan = replace(case.plan, need_by=date(2026, 3, 4))
    found = texts(case.judged(plan=plan), "lead-time")
    assert "LX-3100 takes 5 working days from 2026-03-02, wanted by 2026-03-04" in found
    assert not any(text.startswith("PG-FCK ") for text in found), "two days are enough for it"


def test_without_a_date_of_order_nothing_is_in_time() -> None:
    case = finished("J3")
    request = case.request
    plan = replace(case.plan, need_by=date(2027, 1, 1))
    found = check_kit(case.kit, request.fixed, plan, request.knowledge, request.catalogue)
    assert "LX-3100 is wanted by 2027-01-01, and no date of order is stated" in texts(found, "lead-time")


def test_a_wrong_total_is_told_with_both_sums() -> None:
    case = finished("J1")
    assert case.kit.totals is not None
    wrong = replace(case.kit, totals=replace(case.kit.totals, tax=Decimal("234.90")))
    assert texts(case.judged(wrong), "totals") == ["tax is 234.91, the kit says 234.90"]


def test_nothing_else_is_told_of_a_kit_with_an_unsound_quantity() -> None:
    found = finished("J1").judged(changed(finished("J1"), "PG-RC", quantity=1.5))
    assert found == (CheckComplaint("quantity", "1.5 x PG-RC: a line orders 1 unit or more", "PG-RC"),)


def test_two_parts_that_share_a_place_must_be_alike() -> None:
    case = finished("J5")
    rods = case.kit.lines[at_line(case, "BT-9CUST")]
    eight = line_of(case.part(rods), 8, rods.needs)
    other = case.request.catalogue.find("BTC", "BT-8680-16")
    assert other is not None
    kit = with_line(case.kit, at_line(case, "BT-9CUST"), eight, line_of(other, 1, rods.needs))
    assert texts(case.judged(case.retold(kit)), "one-kind") == [
        "pushrods/standard: BT-8680-16 is not the same as BT-9CUST"
    ]


# ---- unknown facts -----------------------------------------------------------------------------------------


def without(case: Finished, attribute: str) -> Finished:
    """The same kit for an engine of which one fact is not known."""
    name = case.request.knowledge.attributes[attribute].name_in_conditions
    engine = {key: value for key, value in case.request.fixed["engine"].items() if key != name}
    return Finished(replace(case.request, fixed={**case.request.fixed, "engine": engine}), case.kit)


@pytest.mark.parametrize(
    ("job", "attribute"),
    [
        ("J1", "mileage"),
        ("J1", "pan-bypass-thread"),
        ("J1", "spring-seat-od"),
        ("J1", "head-bolt-class"),
        ("J3", "cam-retainer-plate"),
        ("J5", "rocker-mount"),
        ("J5", "lock-offset"),
    ],
)
def test_a_kit_with_open_places_passes(job: str, attribute: str) -> None:
    request = without(finished(job), attribute).request
    problem, solution, _ = attempt(request)
    assert solution is not None
    case = Finished(request, priced(KitBuilder(problem, solution, {}, {}).build()))
    assert attribute in {unknown.attribute for unknown in case.kit.unknowns}
    assert case.judged() == ()


def test_labour_that_hangs_on_an_unknown_fact_must_be_told() -> None:
    case = without(finished("J1"), "four-wheel-drive")
    pan = [line for line in case.kit.operations if line.code != "OP80"]
    silent = priced(replace(case.kit, operations=tuple(pan)))
    assert texts(case.judged(silent), "unknown") == [
        "OP80 is open: four-wheel-drive is not known, and the kit does not say so",
        "OP81 is open: four-wheel-drive is not known, and the kit does not say so",
    ]
    told = replace(silent, unknowns=(Unknown("four-wheel-drive", "Is it driven by four wheels?", "look"),))
    assert case.judged(told) == ()


def test_a_part_whose_fit_hangs_on_an_unknown_fact_is_not_bought() -> None:
    case = without(finished("J1"), "pan-bypass-thread")
    (text,) = texts(case.judged(), "open-fact")
    assert text == "pan-bypass-plug may be needed, a fact is missing: must be open, is new"


def test_a_place_that_stands_open_without_need_is_told() -> None:
    case = finished("J3")
    at = next(n for n, kept in enumerate(case.kit.kept) if kept.need == "oil-pump")
    kept = replace(case.kit.kept[at], state="open", pieces=0)
    kit = replace(case.kit, kept=(*case.kit.kept[:at], kept, *case.kit.kept[at + 1 :]))
    assert "oil-pump stands open, and reuse is what the known facts ask for" in texts(
        case.judged(case.retold(kit)), "open-fact"
    )


# ---- another engine ----------------------------------------------------------------------------------------

OTHER_ENGINES = [
    ("J1", "head-bolt-class", "HB-A", "bolt-class"),
    ("J1", "pan-bypass-thread", "M22x1.5", "pan-port"),
    ("J1", "bore", 104.0, "gasket-bore-least"),
    ("J1", "phaser-hardware", "PH-B", "phaser-type"),
    ("J1", "cam-target", "T4", "phaser-target"),
    ("J1", "stem-diameter", 8.7, "lock-stem"),
    ("J1", "guide-od", 11.3, "seal-guide"),
    ("J1", "spring-seat-od", 1.25, "spring-seat-od"),
    ("J1", "port-shape", "tall", "intake-port"),
    ("J1", "fuel-system", "direct", "seal-injection"),
    ("J1", "lifter-body", 22.5, "lifter-body"),
    ("J1", "pump-inlet-min", 21.8, "pump-inlet"),
    ("J1", "fuel-pump-drive", "3x4.0", "core-fuel-lobe"),
    ("J3", "cam-target", "T3", "core-rear-target"),
    ("J3", "cam-retainer-plate", "moulded", "plate-seal"),
    ("J3", "chain-control", "hydraulic", "guide-type"),
    ("J5", "rocker-ratio", 1.65, "rocker-ratio"),
    ("J5", "family", "BR", "fits-engine"),
]


@pytest.mark.parametrize(("job", "attribute", "value", "rule"), OTHER_ENGINES)
def test_a_sound_kit_does_not_pass_for_another_engine(
    job: str, attribute: str, value: Any, rule: str
) -> None:
    case = finished(job)
    name = case.request.knowledge.attributes[attribute].name_in_conditions
    assert case.request.fixed["engine"][name] != value
    fixed = {**case.request.fixed, "engine": {**case.request.fixed["engine"], name: value}}
    other = Finished(replace(case.request, fixed=fixed), case.kit)
    assert rule in {complaint.rule for complaint in other.judged()}


def test_where_no_piece_is_wanted_nothing_has_to_be_new() -> None:
    """A retainer plate that is held by no bolts of its own."""
    with_bolts, without = (
        {filled.need for line in ask.kit().kit.lines for filled in line.needs}
        for ask in (Ask("A03", "B1"), Ask("A03", "B1", facts={"retainer-bolt-count": 0}))
    )
    assert with_bolts - without == {"cam-retainer-bolts"}
