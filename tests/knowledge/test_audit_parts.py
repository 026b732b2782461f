"""Needs that no part fills, and parts that state what nobody knows."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tappetry.knowledge.audit import AuditFinding, AuditKind, audit
from tappetry.records.part import Content, Fill, Part
from tappetry.services.audits import audit_folder, calculation_names
from tappetry.services.shop import Shop, demo_folder
from tests.knowledge.shops import line_of, plant, plant_probe, replant

pytestmark = pytest.mark.slow

BOUGHT = "  written: R\n  renew: {renew}\n  why: a probe\n"
ROW = "ZZ-1,MOS,{fills},probe,{fits},,,each,1,1.00,2.00,1,0.00,yes,parts,active,,"


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop(demo_folder())


def audited(shop: Shop, *parts: Part) -> list[AuditFinding]:
    """The mistakes of the demo with more parts."""
    found = audit(shop.folder, shop.knowledge, [*shop.catalogue.parts, *parts], calculation_names())
    return [finding for finding in found if not finding.is_note and "ZZ-1" in finding.message]


def test_the_demo_is_clean() -> None:
    assert [str(finding) for finding in audit_folder(demo_folder()) if not finding.is_note] == []


def test_a_need_that_no_part_fills(tmp_path: Path) -> None:
    planted = plant_probe(tmp_path, BOUGHT.format(renew="true"), "renew: true")
    families = Shop(planted.folder).knowledge.families
    mistakes = planted.mistakes()
    assert [(m.kind, m.file, m.line, m.field, m.value) for m in mistakes] == [
        (AuditKind.NO_PART, planted.file, planted.line, "[0].renew", "probe")
    ] * len(families)
    assert {m.expected for m in mistakes} == {
        f"a part that fills probe and fits family={family}, or no_part" for family in families
    }


def test_a_need_whose_part_fits_only_one_family(tmp_path: Path) -> None:
    planted = plant_probe(tmp_path, BOUGHT.format(renew="true"))
    with (planted.folder / "parts.csv").open("a", encoding="utf-8") as stream:
        stream.write(ROW.format(fills="probe:1", fits="family=BR") + "\n")
    assert {m.expected for m in planted.mistakes()} == {
        "a part that fills probe and fits family=ML, or no_part",
        "a part that fills probe and fits family=OS, or no_part",
    }


@pytest.mark.parametrize(
    ("more", "why"),
    [
        ("  written: R\n  renew: false\n", "never renewed"),
        (BOUGHT.format(renew="true") + "  no_part: by hand\n", "met without a part"),
        (BOUGHT.format(renew="true") + "  house: true\n", "a house renewal falls back to reuse"),
        (BOUGHT.format(renew="true").replace("R", "T"), "taken from the shelf"),
        (BOUGHT.format(renew="true") + '  when: "engine.cylinders == 12"\n', "no family has twelve"),
        (BOUGHT.format(renew="probe_parent.renewed"), "its parent is never renewed"),
    ],
)
def test_a_need_that_is_never_bought_wants_no_part(tmp_path: Path, more: str, why: str) -> None:
    parent = "- {id: probe-parent, title: probe, group: Services, source: shop, renew: false}\n"
    assert plant_probe(tmp_path, more + parent).mistakes() == [], why


def test_a_plan_that_a_gate_refuses_does_not_count(tmp_path: Path) -> None:
    """No engine of a family without a phaser can have a plan that keeps one, so nothing is bought for it."""
    more = BOUGHT.format(renew="true") + "  when: \"plan.phaser == 'keep-full'\"\n"
    families = {m.expected for m in plant_probe(tmp_path, more).mistakes()}
    assert families == {"a part that fills probe and fits family=BR, or no_part"}


# ---- words of parts -------------------------------------------------------------------------------------


def test_parts_with_unknown_words(shop: Shop) -> None:
    some = shop.catalogue.parts[0]
    wrong = replace(
        some,
        number="ZZ-1",
        fills=(Fill("cam-gaer", 1, {"noose": "N1"}),),
        attributes={"mateerial": "steel"},
        contents=(Content("bolt", 2, {"lenght_mm": 20.0}),),
        fits={"faimly": ("BR",), "cam-drive": ("belt",), "valley": ("maybe",), "family": ("BX",)},
    )
    found = [(f.kind, f.file, f.field, f.value, f.expected) for f in audited(shop, wrong)]
    name = AuditKind.UNKNOWN_NAME
    assert sorted(found) == sorted(
        [
            (AuditKind.UNKNOWN_ID, "parts.csv", "fills", "cam-gaer", "did you mean cam-gear?"),
            (name, "parts.csv", "attributes", "lenght_mm", "did you mean length_mm?"),
            (name, "parts.csv", "attributes", "mateerial", "did you mean material?"),
            (name, "parts.csv", "attributes", "noose", "did you mean nose?"),
            (name, "parts.csv", "fits", "faimly", "did you mean family?"),
            (AuditKind.UNKNOWN_VALUE, "parts.csv", "fits", "belt", "one of chain, double-row chain, gears"),
            (AuditKind.UNKNOWN_VALUE, "parts.csv", "fits", "maybe", "one of yes, no"),
            (AuditKind.UNKNOWN_VALUE, "parts.csv", "fits", "BX", "one of BR, ML, OS"),
        ]
    )


def test_a_part_that_fits_a_value_nothing_has(tmp_path: Path) -> None:
    planted = plant(tmp_path, "parts.csv", ROW.format(fills="oil-filter:1", fits="family=BX"))
    planted.finds(
        AuditKind.UNKNOWN_VALUE,
        "fits",
        "BX",
        "one of BR, ML, OS",
        "family has no such value, so ZZ-1 fits less than it says",
    )


def test_a_part_that_points_to_no_row_of_a_table(tmp_path: Path) -> None:
    row = ROW.format(fills="camshaft:1", fits="family=BR").replace(",,,each", ",grind=B77,,each")
    planted = plant(tmp_path, "parts.csv", row)
    found = [m for m in planted.mistakes() if m.kind is AuditKind.UNKNOWN_VALUE]
    assert [(m.file, m.line, m.field, m.value) for m in found] == [
        ("parts.csv", planted.line, "attributes", "B77")
    ]
    assert found[0].message == "ZZ-1 points into the table of grind, which has no such row"


@pytest.mark.parametrize(
    ("column", "wrong", "field", "value", "expected"),
    [
        ("fills", "oil-fliter:1", "fills.oil-fliter", "oil-fliter", "did you mean oil-filter?"),
        ("fits", "faimly=BR", "fits.faimly", "faimly", "did you mean family?"),
    ],
)
def test_words_that_the_price_list_is_refused_for(
    tmp_path: Path, column: str, wrong: str, field: str, value: str, expected: str
) -> None:
    cells = {"fills": "oil-filter:1", "fits": "family=BR", column: wrong}
    plant(tmp_path, "parts.csv", ROW.format(**cells)).finds(
        AuditKind.UNREADABLE, field, value, expected, "no such"
    )


# ---- families -------------------------------------------------------------------------------------------


def planted_break(tmp_path: Path, text: str):
    """A production break more in the first family's file."""
    return replant(
        tmp_path, "families/brindle/family.yaml", "\nbreaks:\n", f"\nbreaks:\n  - {{{text}, when: probe}}\n"
    )


@pytest.mark.parametrize(
    ("text", "kind", "key", "value", "message"),
    [
        (
            "feature: head-bolt-class, driver: region, from: HB-A, to: HB-B",
            AuditKind.UNCOVERED_BREAK,
            "driver",
            "region",
            "nothing of Brindle V8 covers this side of the production break of head-bolt-class",
        ),
        (
            "feature: head-bolt-class, driver: block-casting, from: HB-A, to: HB-Z",
            AuditKind.UNCOVERED_BREAK,
            "to",
            "HB-Z",
            "nothing of Brindle V8 covers this side of the production break of head-bolt-class",
        ),
        (
            "feature: head-bolt-class, driver: block-casting, from: HB-0, to: HB-B",
            AuditKind.UNCOVERED_BREAK,
            "from",
            "HB-0",
            "nothing of Brindle V8 covers this side of the production break of head-bolt-class",
        ),
        (
            "feature: head-bolt-clas, driver: block-casting, from: HB-A, to: HB-B",
            AuditKind.UNKNOWN_NAME,
            "feature",
            "head-bolt-clas",
            "the production break names an attribute that does not exist",
        ),
    ],
)
def test_a_production_break_that_nothing_covers(
    tmp_path: Path, text: str, kind: AuditKind, key: str, value: str, message: str
) -> None:
    planted = planted_break(tmp_path, text)
    mistakes = planted.mistakes()
    line = line_of(planted.folder / planted.file, "when: probe")
    assert [(m.kind, m.file, m.line, m.field, m.value) for m in mistakes] == [
        (kind, planted.file, line, f"breaks[0].{key}", value)
    ]
    assert mistakes[0].message == message


def test_a_row_that_no_engine_selects(tmp_path: Path) -> None:
    planted = replant(
        tmp_path,
        "families/brindle/family.yaml",
        "\ntables:\n",
        "\ntables:\n  - {by: valley, rows: {maybe: {oil-pump-volume: 100}}}\n",
    )
    (found,) = planted.mistakes()
    assert (found.kind, found.field, found.value, found.expected) == (
        AuditKind.UNKNOWN_VALUE,
        "tables[0]",
        "maybe",
        "yes or no",
    )
    assert found.line == line_of(planted.folder / planted.file, "maybe")


@pytest.mark.parametrize(
    ("text", "kind", "value", "expected"),
    [
        ("cam-geer: {nose: N1}", AuditKind.UNKNOWN_ID, "cam-geer", "did you mean cam-gear?"),
        ("oil-filter: {noose: N1}", AuditKind.UNKNOWN_NAME, "noose", "did you mean nose?"),
    ],
)
def test_a_fitted_part_that_nobody_knows(
    tmp_path: Path, text: str, kind: AuditKind, value: str, expected: str
) -> None:
    file = "families/brindle/family.yaml"
    planted = replant(tmp_path, file, "\nfitted:\n", f"\nfitted:\n  {text}\n")
    (found,) = planted.mistakes()
    assert (found.kind, found.value, found.expected) == (kind, value, expected)
    assert (found.file, found.line) == (file, line_of(planted.folder / file, text))
    assert found.field == f"fitted.{text.partition(':')[0]}"


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("{by: valey, rows: {yes: {deact-towers: true}}}", "tables[0].by", "valey"),
        ("{by: cam-drive, rows: {belt: {deact-towers: true}}}", "tables[0].rows.belt", "belt"),
        ("{by: cam-drive, rows: {chain: {cam-drive: belt}}}", "tables[0].rows.chain.cam-drive", "belt"),
    ],
)
def test_tables_that_a_family_is_refused_for(tmp_path: Path, text: str, field: str, value: str) -> None:
    file = "families/brindle/family.yaml"
    planted = replant(tmp_path, file, "\ntables:\n", f"\ntables:\n  - {text}\n")
    (found,) = planted.mistakes()
    assert (found.kind, found.file, found.line) == (
        AuditKind.UNREADABLE,
        file,
        line_of(planted.folder / file, text),
    )
    assert (found.field, found.value) == (field, value)
