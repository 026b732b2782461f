"""Contradictions, unlike units, missing reasons, ids used twice and ids of nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from tappetry.knowledge.audit import AuditKind
from tests.knowledge.shops import Planted, line_of, plant, plant_probe, replant

pytestmark = pytest.mark.slow

RULE = '    - {{id: {id}, that: "{that}", why: a probe, source: shop}}\n'
ODDS = AuditKind.CONTRADICTION


# ---- contradictions ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("one", "other", "name"),
    [
        ("camshaft.nose == 'N1'", "camshaft.nose == 'N3'", "camshaft.nose"),
        ("camshaft.nose == 'N1'", "camshaft.nose != 'N1'", "camshaft.nose"),
        ("camshaft.nose == 'N1'", "camshaft.nose in ['N3', 'ML-2']", "camshaft.nose"),
        ("open_load_lb >= 300", "open_load_lb < 300", "open_load_lb"),
        ("camshaft.deact_lobes", "!camshaft.deact_lobes", "camshaft.deact_lobes"),
    ],
)
def test_two_rules_that_cannot_both_hold(tmp_path: Path, one: str, other: str, name: str) -> None:
    rules = "  rules:\n" + RULE.format(id="one", that=one) + RULE.format(id="other", that=other)
    plant_probe(tmp_path, rules, "id: other").finds(
        ODDS,
        r"\[0\]\.rules\[1\]\.that",
        other,
        f"a rule that can hold together with {one}",
        f"other cannot hold together with one: they ask different things of {name}",
    )


def test_rules_for_different_cases_may_differ(tmp_path: Path) -> None:
    rules = (
        "  rules:\n"
        "    - {id: one, when: engine.valley, that: \"camshaft.nose == 'N1'\", why: a probe, source: shop}\n"
        "    - {id: other, when: access_heads, that: \"camshaft.nose == 'N3'\", why: a probe, source: shop}\n"
    )
    assert plant_probe(tmp_path, rules).mistakes() == []


def test_operations_that_exclude_each_other_and_are_charged_together(tmp_path: Path) -> None:
    planted = plant(
        tmp_path,
        "operations.yaml",
        "- {code: OP998, what: probe, hours: 1.0, when: \"plan.heads == 'off'\"}\n"
        "- {code: OP999, what: probe, hours: 1.0, when: engine.valley, excludes: [OP998]}",
    )
    planted.finds(
        ODDS,
        r"\[\d+\]\.excludes",
        "engine.valley | plan.heads == 'off'",
        "conditions that are never true together",
        "OP999 excludes OP998, and nothing keeps them from being charged together",
    )


def test_an_operation_that_requires_what_it_excludes(tmp_path: Path) -> None:
    planted = plant(
        tmp_path,
        "operations.yaml",
        "- {code: OP998, what: probe, hours: 1.0, when: \"plan.heads == 'off'\"}\n"
        "- {code: OP999, what: probe, hours: 1.0, when: \"plan.heads == 'on'\", excludes: [OP998], "
        "requires: [OP998]}",
    )
    planted.finds(ODDS, r"\[\d+\]\.requires", "OP998", "one of the two", "OP999 requires and excludes OP998")


def test_a_package_that_prefers_what_a_rule_rules_out(tmp_path: Path) -> None:
    rules = "  rules:\n" + RULE.format(id="hard", that="camshaft.nose == 'N1'")
    planted = plant_probe(tmp_path, rules)
    book = planted.folder / "shop.yaml"
    text = book.read_text(encoding="utf-8")
    wish = "{need: probe, id: soft, that: \"camshaft.nose == 'N3'\", why: probe, source: shop}"
    assert text.count("\n  best:\n") == 1
    book.write_text(
        text.replace("\n  best:\n", f"\n  probe:\n    title: probe\n    prefer:\n      - {wish}\n  best:\n"),
        encoding="utf-8",
    )
    (found,) = planted.mistakes()
    assert (found.kind, found.file, found.line) == (ODDS, "shop.yaml", line_of(book, "id: soft"))
    assert (found.field, found.value) == ("packages.probe.prefer[0].that", "camshaft.nose == 'N3'")
    assert found.expected == "a preference that can hold together with camshaft.nose == 'N1'"
    assert found.message == (
        "package probe prefers (soft) what the rule hard rules out: "
        "they ask different things of camshaft.nose"
    )


def test_values_that_go_round_in_a_circle(tmp_path: Path) -> None:
    planted = plant(
        tmp_path,
        "quantities.yaml",
        '- {id: probe_a, title: probe, is: "probe_b + 1"}\n'
        '- {id: probe_b, title: probe, is: "probe_c * 2"}\n'
        '- {id: probe_c, title: probe, is: "probe_a - 1"}',
        "id: probe_a",
    )
    planted.finds(
        ODDS,
        r"\[\d+\]\.is",
        "probe_a -> probe_b -> probe_c -> probe_a",
        "values that end somewhere",
        "named values go round in a circle",
    )


# ---- units -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("condition", "message"),
    [
        (
            "valve_springs.base_id_in > engine.guide_od_mm",
            "valve_springs.base_id_in in in and engine.guide_od_mm in mm are compared",
        ),
        (
            "engine.bore_mm + lift_in > 3",
            "engine.bore_mm in mm and lift_in in in are added",
        ),
        (
            "(engine.bore_mm - valve_springs.base_id_in) / 2 > 3",
            "engine.bore_mm in mm and valve_springs.base_id_in in in are subtracted",
        ),
        (
            "abs(engine.bore_mm) > engine.spring_seat_od_in",
            "engine.bore_mm in mm and engine.spring_seat_od_in in in are compared",
        ),
        (
            "(engine.valley ? engine.bore_mm : lift_in) > 3",
            "engine.bore_mm in mm and lift_in in in are taken for one another",
        ),
    ],
)
def test_unlike_units(tmp_path: Path, condition: str, message: str) -> None:
    planted = plant_probe(tmp_path, f'  when: "{condition}"\n')
    planted.finds(
        AuditKind.UNIT_MISMATCH,
        r"\[0\]\.when",
        condition,
        "one unit; multiply or divide by the number between them, such as 25.4",
        message,
    )


@pytest.mark.parametrize(
    "condition",
    [
        "valve_springs.base_id_in * 25.4 > engine.guide_od_mm",
        "engine.guide_od_mm / 25.4 < valve_springs.base_id_in",
        "engine.bore_mm / 2 + 25.4 * lift_in > 3",
        "engine.bore_mm > 100 && lift_in > 0.5",
    ],
)
def test_a_number_turns_one_unit_into_another(tmp_path: Path, condition: str) -> None:
    assert plant_probe(tmp_path, f'  when: "{condition}"\n').mistakes() == []


@pytest.mark.parametrize(
    ("text", "field", "value", "expected", "message"),
    [
        (
            "{id: probe_mm, title: probe, unit: in, is: lift_in}",
            r"\[\d+\]\.unit",
            "in",
            "mm",
            "probe_mm ends in mm, and its unit is in",
        ),
        (
            "{id: probe_mm, title: probe, unit: mm, is: lift_in}",
            r"\[\d+\]\.is",
            "lift_in",
            "a value in mm",
            "probe_mm is stated in mm, and comes out in in",
        ),
        (
            "{id: probe_in, title: probe, unit: in, calculation: lift-at-valve, output: lift_at_valve, "
            "inputs: {lobe_lift: engine.mileage_km, rocker_ratio: rocker_arms.ratio}}",
            r"\[\d+\]\.inputs\.lobe_lift",
            "km",
            "one of m, mm, cm, µm, in, thou",
            "lobe_lift is a length: 'km' is no unit of length, but of distance",
        ),
        (
            "{id: probe_in, title: probe, unit: in, calculation: lift-at-valve, output: lift_at_valve, "
            "inputs: {lobe_lift: 0.3, rocker_ratio: rocker_arms.ratio}}",
            r"\[\d+\]\.inputs\.lobe_lift",
            "",
            "one of m, mm, cm, µm, in, thou",
            "lobe_lift is a length and states no unit",
        ),
        (
            "{id: probe_deg, title: probe, unit: deg, calculation: lift-at-valve, output: lift_at_valve, "
            "inputs: {lobe_lift: lift_in, rocker_ratio: rocker_arms.ratio}}",
            r"\[\d+\]\.unit",
            "deg",
            "one of m, mm, cm, µm, in, thou",
            "probe_deg is a length: 'deg' is no unit of length, but of angle",
        ),
    ],
)
def test_units_of_named_values(
    tmp_path: Path, text: str, field: str, value: str, expected: str, message: str
) -> None:
    plant(tmp_path, "quantities.yaml", f"- {text}").finds(
        AuditKind.UNIT_MISMATCH, field, value, expected, message
    )


def test_the_unit_of_a_proof(tmp_path: Path) -> None:
    planted = plant(
        tmp_path,
        "proofs.yaml",
        "- {id: probe, title: probe, value: lift_in, at_least: limits.quench_stop_mm, unit: in, "
        "severity: NOTE, source: shop, why: a probe}",
    )
    planted.finds(
        AuditKind.UNIT_MISMATCH,
        r"\[\d+\]\.at_least",
        "limits.quench_stop_mm",
        "a value in in",
        "the proof probe is in in, and this is in mm",
    )


# ---- reasons, ids ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("more", "field", "message"),
    [
        (
            "  renew: \"plan.heads == 'off'\"\n  otherwise: none\n",
            r"\[0\]\.why",
            "probe may be renewed and says no why",
        ),
        (
            "  renew: false\n  otherwise: reuse\n",
            r"\[0\]\.otherwise_why",
            "probe may be met by reuse and says no otherwise_why",
        ),
    ],
)
def test_a_need_without_its_reason(tmp_path: Path, more: str, field: str, message: str) -> None:
    plant_probe(tmp_path, more, "- id: probe").finds(
        AuditKind.MISSING_REASON, field, "", "a reason in plain words", message
    )


def test_a_rule_whose_reason_is_blank(tmp_path: Path) -> None:
    rule = '  rules:\n    - {id: one, that: engine.valley, why: " ", source: shop}\n'
    plant_probe(tmp_path, rule, "id: one").finds(
        AuditKind.MISSING_REASON,
        r"\[0\]\.rules\[0\]\.why",
        "",
        "a reason in plain words",
        "probe: one says no why",
    )


@pytest.mark.parametrize(
    ("rule", "missing"),
    [
        ("{id: one, that: engine.valley, source: shop}", '"why" is a required property'),
        ("{id: one, that: engine.valley, why: a probe}", '"source" is a required property'),
    ],
)
def test_a_rule_without_reason_or_source_is_refused(tmp_path: Path, rule: str, missing: str) -> None:
    plant_probe(tmp_path, f"  rules:\n    - {rule}\n", rule).finds(
        AuditKind.UNREADABLE,
        r"\[0\]\.rules\[0\]",
        '{"id": "one", "that": "engine.valley", '
        + ('"source": "shop"}' if "why" in missing else '"why": "a probe"}'),
        "all of id, that, why, source",
        missing,
    )


@pytest.mark.parametrize(
    ("file", "key", "note"),
    [
        (
            "legal.yaml",
            "sources",
            "- {id: probe, places: [Mardle county], when: true, verdict: NOTE, date: 2026-01-12, "
            "text: a probe, sources: [' '], approved_by: owner of the shop}",
        ),
        ("cautions.yaml", "source", "- {id: probe, work: probe, when: true, text: a probe, source: ' '}"),
    ],
)
def test_a_note_without_its_source(tmp_path: Path, file: str, key: str, note: str) -> None:
    plant(tmp_path, file, note).finds(
        AuditKind.MISSING_SOURCE, rf"\[\d+\]\.{key}", "", "where it comes from", "probe names no source"
    )


def test_an_id_used_twice(tmp_path: Path) -> None:
    more = (
        "  rules:\n" + RULE.format(id="one", that="engine.valley") + "  prefer:\n"
        "    - {id: one, that: camshaft.fitted, why: a probe, source: shop}\n"
    )
    found = plant_probe(tmp_path, more, "camshaft.fitted").finds(
        AuditKind.USED_TWICE,
        r"\[0\]\.prefer\[0\]\.id",
        "one",
        "each id once",
        "the id stands twice among the rules",
    )
    assert found.message.endswith("the other stands at needs/9-probe.yaml:7, [0].rules[0].id")


@pytest.mark.parametrize(
    ("more", "field", "value", "expected", "message"),
    [
        (
            "  proofs: [spring-not-sold]\n",
            r"\[0\]\.proofs\[0\]",
            "spring-not-sold",
            "did you mean spring-not-solid?",
            "probe names a proof that does not exist",
        ),
    ],
)
def test_a_proof_that_does_not_exist(
    tmp_path: Path, more: str, field: str, value: str, expected: str, message: str
) -> None:
    plant_probe(tmp_path, more).finds(AuditKind.UNKNOWN_ID, field, value, expected, message)


@pytest.mark.parametrize(
    ("key", "value", "expected", "message"),
    [
        ("needs", "cam-gaer", "did you mean cam-gear?", "OP999 names a need that does not exist"),
        ("excludes", "OP998x", "did you mean OP999?", "OP999 names an operation that does not exist"),
        ("requires", "zzz", "a known operation", "OP999 names an operation that does not exist"),
    ],
)
def test_an_operation_that_names_nothing(
    tmp_path: Path, key: str, value: str, expected: str, message: str
) -> None:
    text = f"- {{code: OP999, what: probe, hours: 1.0, when: engine.valley, {key}: [{value}]}}"
    plant(tmp_path, "operations.yaml", text).finds(
        AuditKind.UNKNOWN_ID, rf"\[\d+\]\.{key}\[0\]", value, expected, message
    )


def replant_book(tmp_path: Path, package: str) -> Planted:
    """One more package in the house book."""
    return replant(tmp_path, "shop.yaml", "\n  best:\n", f"\n{package}  best:\n")


def test_a_package_that_names_no_need(tmp_path: Path) -> None:
    planted = replant_book(tmp_path, "  probe: {title: probe, renew: {cam-gaer: true}}\n")
    (found,) = planted.mistakes()
    assert (found.kind, found.file, found.field) == (
        AuditKind.UNKNOWN_ID,
        "shop.yaml",
        "packages.probe.renew.cam-gaer",
    )
    assert (found.value, found.expected) == ("cam-gaer", "did you mean cam-gear?")
    assert found.line == line_of(planted.folder / "shop.yaml", "cam-gaer")


def test_a_caution_that_names_no_operation(tmp_path: Path) -> None:
    text = (
        "- {id: probe, work: probe, when: true, text: a probe, source: common practice, operations: [OP75O]}"
    )
    plant(tmp_path, "cautions.yaml", text).finds(
        AuditKind.UNKNOWN_ID,
        r"\[\d+\]\.operations\[0\]",
        "OP75O",
        "did you mean OP75?",
        "probe names an operation that does not exist",
    )


def test_a_need_in_no_book_hours_is_a_note(tmp_path: Path) -> None:
    planted = plant_probe(tmp_path, "  written: T\n", "- id: probe")
    assert planted.mistakes() == []
    notes = [note for note in planted.notes() if note.value == "probe"]
    assert [(n.file, n.line, n.field) for n in notes] == [(planted.file, planted.line, "[0].id")]
    assert notes[0].message == "no labour operation serves probe: its work is in no book hours"
