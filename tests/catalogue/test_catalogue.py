"""The catalogue: classes of equal parts, successors, engines that parts fit, what hangs on a part."""

from __future__ import annotations

import random
from dataclasses import replace
from decimal import Decimal

import pytest

from tappetry.catalogue.catalogue import Catalogue, WhereUsed
from tappetry.catalogue.classes import fits_engine
from tappetry.catalogue.reader import parse_parts, read_catalogue
from tappetry.catalogue.writer import write_parts
from tappetry.knowledge.loader import load
from tappetry.records.kit import Kit, Line
from tappetry.records.problems import BadInput
from tests.catalogue.shop import (
    ATTRIBUTES,
    SHOP,
    SUPPLIERS,
    catalogue_of,
    demo_catalogue,
    demo_known,
    parts_of,
)

BR = {"family": "BR"}


def numbers(catalogue: Catalogue, need: str, **engine: object) -> list[list[str]]:
    return [[part.number for part in group.parts] for group in catalogue.candidates(need, engine)]


# ---- classes ---------------------------------------------------------------------------------------------


def test_packs_and_suppliers_of_one_kind_are_one_class() -> None:
    catalogue = catalogue_of(
        {"number": "one", "attributes": "bore_mm=101; return_class=stock"},
        {
            "number": "pair",
            "pieces": "2",
            "fills": "bolt:2",
            "supplier": "DEF",
            "attributes": "bore_mm=101.0",
        },
        {"number": "other", "attributes": "bore_mm=101.1"},
    )
    classes = catalogue.classes("bolt")
    assert [[part.number for part in group.parts] for group in classes] == [["one", "pair"], ["other"]]
    assert classes[0].attributes == {"bore_mm": 101.0}


def test_a_class_can_be_here_as_soon_as_its_first_part() -> None:
    catalogue = catalogue_of({"lead_days": "5"}, {"number": "A-2", "lead_days": "3"})
    assert catalogue.classes("bolt")[0].lead_days == 3


def test_a_box_shows_each_need_its_own_attributes() -> None:
    catalogue = catalogue_of(
        {"number": "loose", "fills": "gasket:1", "attributes": "bore_mm=94"},
        {
            "number": "box",
            "fills": "gasket:1(bore_mm=94); seal:12(type=umbrella)",
            "contents": "1 x gasket; 12 x seal",
        },
    )
    assert numbers(catalogue, "gasket") == [["box", "loose"]]
    assert catalogue.classes("seal")[0].attributes == {"type": "umbrella"}


def test_the_kinds_in_a_box_for_one_need_are_seen_without_their_count() -> None:
    catalogue = catalogue_of(
        {
            "number": "bag",
            "fills": "seal:1",
            "contents": "1 x thin ring(section_mm=2.5); 3 x thick ring(section_mm=3.1)",
        },
        {
            "number": "bigger bag",
            "fills": "seal:2",
            "contents": "2 x thin ring(section_mm=2.5); 4 x thick ring(section_mm=3.1)",
        },
    )
    (group,) = catalogue.classes("seal")
    assert group.attributes["contents"] == [
        {"item": "thin ring", "section_mm": 2.5},
        {"item": "thick ring", "section_mm": 3.1},
    ]


def test_a_core_charge_is_seen() -> None:
    catalogue = catalogue_of({"core_charge": "45.00"})
    assert catalogue.classes("bolt")[0].attributes == {"core_billed": True}


def test_a_table_gives_what_it_knows_and_the_part_stands_on_top() -> None:
    parts = parts_of({"fills": "camshaft:1", "attributes": "grind=X1; bore_mm=40"})
    tables = {
        "grind": {"X1": {"lobe_lift_in": 0.3, "bore_mm": 39, "names": ["a"]}, "X2": {"lobe_lift_in": 0.4}}
    }
    catalogue = Catalogue(parts, SUPPLIERS, ATTRIBUTES, tables)
    assert catalogue.seen_attributes(parts[0], "camshaft") == {
        "lobe_lift_in": 0.3,
        "bore_mm": 40.0,
        "names": ["a"],
        "grind": "X1",
    }


@pytest.mark.slow
def test_classes_and_version_do_not_depend_on_the_order_of_the_list() -> None:
    catalogue = demo_catalogue()
    shuffled = list(catalogue.parts)
    random.Random(7).shuffle(shuffled)
    other = replace(catalogue, parts=tuple(shuffled))
    assert other.version == catalogue.version
    for need in {fill.need for part in catalogue.parts for fill in part.fills}:
        assert other.classes(need) == catalogue.classes(need)


def test_every_change_of_a_part_changes_the_version() -> None:
    catalogue = catalogue_of({})
    (part,) = catalogue.parts
    changed = [
        replace(part, price=Decimal("3.01")),
        replace(part, lead_days=3),
        replace(part, note="x"),
        replace(part, fits={"family": ("BR",)}),
        replace(part, attributes={"teeth": 3.0}),
    ]
    versions = {catalogue.version, *(replace(catalogue, parts=(part,)).version for part in changed)}
    assert len(versions) == 6


# ---- engines ---------------------------------------------------------------------------------------------


def test_only_parts_that_are_known_to_fit_are_candidates() -> None:
    catalogue = catalogue_of(
        {"number": "all"},
        {"number": "br", "fits": "family=BR|OS"},
        {"number": "br-2", "fits": "family=BR; era=2"},
        {"number": "ml", "fits": "family=ML"},
    )
    assert numbers(catalogue, "bolt", family="BR", era="2") == [["all", "br", "br-2"]]
    assert numbers(catalogue, "bolt", family="BR") == [["all", "br"]]
    assert numbers(catalogue, "bolt") == [["all"]]
    assert catalogue.open_facts("bolt", {"family": "BR"}) == ("era",)
    assert catalogue.open_facts("bolt", {"family": "ML"}) == ()
    assert catalogue.open_facts("bolt", {}) == ("era", "family")


def test_parts_that_can_be_ordered_lie_by_the_engines_that_they_fit() -> None:
    catalogue = catalogue_of(
        {"number": "all"},
        {"number": "br-2", "fits": "family=BR"},
        {"number": "br", "fits": "family=BR", "teeth": "20"},
        {"number": "both", "fits": "family=BR|OS"},
        {"number": "gone", "fits": "family=BR", "status": "discontinued"},
    )
    lie = {
        fits: sorted(p.number for p in parts) for fits, parts in catalogue.parts_by_engines("bolt").items()
    }
    assert lie == {
        (): ["all"],
        (("family", ("BR",)),): ["br", "br-2"],
        (("family", ("BR", "OS")),): ["both"],
    }
    assert catalogue.parts_by_engines("seal") == {}


@pytest.mark.parametrize(
    ("value", "allowed", "fits"),
    [
        (True, "yes", True),
        (False, "yes", False),
        (2.0, "2", True),
        (["a", "b"], "b", True),
        ("a", "b", False),
    ],
)
def test_facts_of_every_type_are_compared(value: object, allowed: str, fits: bool) -> None:
    assert fits_engine([("cam-drive", (allowed,))], {"cam_drive": value}) is fits


def test_one_fact_that_rules_out_is_enough() -> None:
    assert fits_engine([("era", ("2",)), ("family", ("BR",))], {"family": "ML"}) is False
    assert fits_engine([("era", ("2",)), ("family", ("BR",))], BR) is None


# ---- what can be ordered ---------------------------------------------------------------------------------


def test_a_superseded_part_leads_to_the_last_of_its_chain() -> None:
    catalogue = catalogue_of(
        {"number": "A-1", "status": "superseded", "superseded_by": "A-2"},
        {"number": "A-2", "status": "superseded", "superseded_by": "a 3"},
        {"number": "A-3"},
        {"number": "B", "status": "discontinued", "superseded_by": "A-1"},
        {"number": "C", "status": "discontinued"},
    )
    ordered = [catalogue.orderable(part) for part in catalogue.parts]
    assert [part.number if part else None for part in ordered] == ["A-3", "A-3", "A-3", "A-3", None]
    assert [part.number for part in catalogue.parts_for("bolt")] == ["A-3"]
    assert [catalogue.stock_usable(part) for part in catalogue.parts] == [True, True, True, False, False]
    assert not catalogue.carries("A-1")
    assert catalogue.carries("A-3")
    assert catalogue.close_numbers("A-1")[0] == "A-3"


def test_a_part_at_no_price_is_never_ordered() -> None:
    (part,) = parts_of({})
    catalogue = Catalogue((replace(part, price=Decimal(0)),), SUPPLIERS)
    assert catalogue.parts_for("bolt") == ()
    assert catalogue.orderable(catalogue.parts[0]) is None


def test_a_circle_that_slipped_in_is_told_and_not_followed_for_ever() -> None:
    one, two = parts_of({}, {"number": "A-2"})
    circle = (
        replace(one, status="superseded", superseded_by="A-2"),
        replace(two, status="superseded", superseded_by="A-1"),
    )
    with pytest.raises(BadInput) as caught:
        Catalogue(circle, SUPPLIERS).orderable(circle[0])
    assert str(caught.value) == (
        "superseded_by: the supersessions go round in a circle (read: A-1 -> A-2 -> A-1); expected "
        "a part that is sold"
    )


def test_a_number_is_found_however_it_is_punctuated_and_never_for_another_supplier() -> None:
    catalogue = catalogue_of(
        {"number": "PG-101-130"}, {"number": "PG101130", "supplier": "DEF"}, {"number": "0825-3"}
    )
    found = catalogue.find("ABC", "pg 101.130")
    assert found is not None
    assert found.number == "PG-101-130"
    assert [part.supplier for part in catalogue.numbered("PG 101 130")] == ["ABC", "DEF"]
    assert catalogue.find("ABC", "825-3") is None


# ---- where used ------------------------------------------------------------------------------------------


def test_what_hangs_on_a_part() -> None:
    catalogue = catalogue_of(
        {"number": "A-1", "fills": "bolt:1; seal:1"},
        {"number": "A-2", "fills": "bolt:1"},
        {"number": "A-0", "status": "superseded", "superseded_by": "A-1"},
    )
    (part, other, _) = catalogue.parts
    line = Line("A-1", "ABC", "Bolt", 1, "each", part.price, part.price, part.cost, "parts", "must", (), ())
    kits = [Kit("J1", (line,)), Kit("J2", (replace(line, supplier="DEF"),))]
    assert catalogue.where_used(part, kits) == WhereUsed(("bolt", "seal"), ("seal",), ("A-0",), ("J1",))
    assert catalogue.where_used(other) == WhereUsed(("bolt",), (), (), ())


# ---- the invented shop -----------------------------------------------------------------------------------


def test_the_invented_shop_reads_whole() -> None:
    catalogue = demo_catalogue()
    assert len(catalogue.parts) == 193
    by_supplier = {
        code: sum(part.supplier == code for part in catalogue.parts) for code in catalogue.suppliers
    }
    assert sum(by_supplier.values()) == 193
    assert by_supplier["OUT"] == 3
    assert by_supplier["HOUSE"] == 1


def test_the_invented_shop_is_read_with_its_knowledge() -> None:
    catalogue = read_catalogue(SHOP, load(SHOP))
    assert catalogue.parts == demo_catalogue().parts
    (single,) = [
        group for group in catalogue.candidates("camshaft", BR) if group.parts[0].number == "HV-2052-1N"
    ]
    assert single.attributes["lobe_lift_intake_in"] == 0.345
    assert single.attributes["nose"] == "N1"


def test_twins_of_the_invented_shop_are_one_class() -> None:
    catalogue = demo_catalogue()
    groups = [
        set(group)
        for need in ("head-gaskets", "spark-plugs", "cam-gear-bolts", "head-bolts-main", "lifters-standard")
        for group in numbers(catalogue, need, family="BR")
    ]
    for twins in (
        {"PG-101-130", "WDW-PG101130"},
        {"WDW-PLUG8", "WDW-PLUG8-4"},
        {"IF-0825-3", "WDW-0825"},
        {"IF-12HB", "IF-12HB-E"},
        {"BT-7350-16", "BT-7350-02"},
    ):
        assert twins in groups


def test_no_part_of_the_invented_shop_sells_at_a_loss_or_for_nothing() -> None:
    catalogue = demo_catalogue()
    sold = [part for part in catalogue.parts if catalogue.orderable(part) is part]
    assert len(sold) == 191
    assert all(0 < part.cost < part.price for part in sold)


@pytest.mark.slow
def test_a_large_list_is_read_in_seconds_and_answers_at_once() -> None:
    import time

    catalogue = demo_catalogue()
    many = tuple(
        replace(
            part,
            number=f"{copy}-{part.number}",
            superseded_by="",
            status="active",
            cost=part.cost + 1,
            price=part.price + 1,
        )
        for copy in range(100_000 // len(catalogue.parts) + 1)
        for part in catalogue.parts
    )
    started = time.process_time()
    read = parse_parts(write_parts(many), "parts.csv", demo_known(), catalogue.suppliers)
    assert read == many
    assert time.process_time() - started < 20.0
    large = replace(catalogue, parts=read)
    needs = {fill.need for part in catalogue.parts for fill in part.fills}
    for need in needs:
        list(large.candidates(need, BR))
    started = time.process_time()
    found = sum(len(group.parts) for need in needs for group in large.candidates(need, BR))
    assert found > 50_000
    assert time.process_time() - started < 2.0
