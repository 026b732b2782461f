"""Names in conditions that nothing has: each is told with its place and the closest spelling."""

from __future__ import annotations

from pathlib import Path

import pytest

from tappetry.knowledge.audit import AuditKind
from tests.knowledge.shops import plant, plant_probe, replant

pytestmark = pytest.mark.slow

NAME = AuditKind.UNKNOWN_NAME


@pytest.mark.parametrize(
    ("condition", "value", "expected", "message"),
    [
        (
            "engine.cam_drve == 'chain'",
            "engine.cam_drve",
            "did you mean engine.cam_drive?",
            "engine has no member of this name",
        ),
        (
            "engine.bore > 100",
            "engine.bore",
            "did you mean engine.bore_mm?",
            "engine has no member of this name",
        ),
        ("plan.haeds == 'off'", "plan.haeds", "did you mean plan.heads?", "plan has no member of this name"),
        ("job.plaec == 'x'", "job.plaec", "did you mean job.place?", "job has no member of this name"),
        (
            "lift_in > limits.pv_intake_min",
            "limits.pv_intake_min",
            "did you mean limits.pv_intake_min_in?",
            "limits has no member of this name",
        ),
        (
            "camshaft.nsoe == 'N1'",
            "camshaft.nsoe",
            "did you mean camshaft.nose?",
            "camshaft has no member of this name",
        ),
        (
            "camshaft.renwed",
            "camshaft.renwed",
            "did you mean camshaft.renewed?",
            "camshaft has no member of this name",
        ),
        (
            "found_cam_gear.nsoe == 'N1'",
            "found_cam_gear.nsoe",
            "did you mean found_cam_gear.nose?",
            "found_cam_gear has no member of this name",
        ),
        ("camshat.nose == 'N1'", "camshat.nose", "did you mean camshaft?", "a name that nothing has"),
        ("lift_inn > 0.5", "lift_inn", "did you mean lift_in?", "a name that nothing has"),
        (
            "zzz.zzz > 0.5",
            "zzz.zzz",
            "engine, plan, job, limits, a need or a named value",
            "a name that nothing has",
        ),
        (
            "pickup_oring.contents.exists_one(piece, piece.secton_mm > 2.0)",
            "piece.secton_mm",
            "did you mean piece.section_mm?",
            "no piece of a box states this",
        ),
    ],
)
def test_a_name_that_nothing_has(
    tmp_path: Path, condition: str, value: str, expected: str, message: str
) -> None:
    planted = plant_probe(tmp_path, f'  when: "{condition}"\n')
    found = planted.finds(NAME, r"\[0\]\.when", value, expected, message)
    assert planted.value_at(found.field) == condition


def test_no_source_of_a_member_is_unknown(tmp_path: Path) -> None:
    """Standard members, attributes of parts, rows of tables, what is fitted, and pieces are all known."""
    condition = (
        "camshaft.fitted && camshaft.grind == 'B1' && camshaft.lobe_lift_intake_in > 0.3 "
        "&& found_valve_springs.spring == 'S1' && job.road_use && plan.rpm > 6000 && access_heads "
        "&& pickup_oring.contents.exists(piece, piece.item.contains('ring') && piece.section_mm > 2)"
    )
    assert plant_probe(tmp_path, f'  when: "{condition}"\n').mistakes() == []


def test_a_name_in_the_rule_for_the_piece_of_a_box(tmp_path: Path) -> None:
    box = "  box: {item: \"item.colour == 'red'\", why: by its colour}\n"
    plant_probe(tmp_path, box).finds(
        NAME, r"\[0\]\.box\.item", "item.colour", "an attribute of a piece in the box", "no piece of a box"
    )


def test_a_name_in_the_words_for_the_piece_of_a_box(tmp_path: Path) -> None:
    old = "{100 * (item.section_mm - pickup_gap_mm)"
    planted = replant(tmp_path, "needs/4-sealing.yaml", old, "{100 * (item.secton_mm - pickup_gap_mm)")
    planted.finds(
        NAME, r"\[\d+\]\.box\.says", "item.secton_mm", "did you mean item.section_mm?", "no piece of a box"
    )


@pytest.mark.parametrize(
    ("file", "text", "field"),
    [
        (
            "notes.yaml",
            "- {id: probe, to: bench, need: calibration, says: 'lift {lfit_in:3} in', why: x, source: shop}",
            r"\[\d+\]\.says",
        ),
        (
            "rules.yaml",
            "  - {id: probe, that: 'plan.rpm > 1', severity: NOTE, says: '{lfit_in}', why: x, source: shop}",
            r"gates\[\d+\]\.says",
        ),
    ],
)
def test_a_name_in_a_sentence(tmp_path: Path, file: str, text: str, field: str) -> None:
    planted = (
        plant(tmp_path, file, text)
        if file == "notes.yaml"
        else replant(tmp_path, file, "rules: []", f"{text}\nrules: []")
    )
    planted.finds(NAME, field, "lfit_in", "did you mean lift_in?", "a name that nothing has")


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("engine.chambr_cc", "did you mean chamber_cc?"),
        ("engin.chamber_cc", "did you mean engine?"),
    ],
)
def test_a_name_that_a_remedy_would_change(tmp_path: Path, name: str, expected: str) -> None:
    planted = replant(
        tmp_path,
        "proofs.yaml",
        'change: {engine.piston_dish_cc: "engine.piston_dish_cc + 5"}',
        f'change: {{{name}: "engine.chamber_cc + 5"}}',
    )
    planted.finds(NAME, r"\[\d+\]\.remedies\[\d+\]\.change\..*", name, expected, "that nothing has")


NOTES = {
    "legal.yaml": """
- id: probe
  places: [Mardle county]
  when: {when}
  verdict: NOTE
  date: 2026-01-12
  text: a probe
  sources: [the shop's own advice]
  approved_by: owner of the shop
""",
    "cautions.yaml": """
- id: probe
  when: {when}
  work: probe
  text: a probe
  source: common practice, no source
""",
}


@pytest.mark.parametrize("file", NOTES)
def test_a_name_in_a_note(tmp_path: Path, file: str) -> None:
    planted = plant(tmp_path, file, NOTES[file].format(when="\"plan.dect == 'remove'\""), "plan.dect")
    planted.finds(
        NAME, r"\[\d+\]\.when", "plan.dect", "did you mean plan.deact?", "plan has no member of this name"
    )


@pytest.mark.parametrize("file", NOTES)
def test_a_condition_of_a_note_that_cannot_be_read(tmp_path: Path, file: str) -> None:
    planted = plant(tmp_path, file, NOTES[file].format(when='"plan.deact =="'), 'plan.deact =="')
    planted.finds(AuditKind.UNREADABLE, r"\[\d+\]\.when", "plan.deact ==", "", "the condition cannot be read")


@pytest.mark.parametrize(
    ("text", "field", "value", "expected", "message"),
    [
        (
            "{calculation: lift-at-vlave, output: lift_at_valve, inputs: INPUTS}",
            r"\[\d+\]\.calculation",
            "lift-at-vlave",
            "did you mean lift-at-valve?",
            "there is no such calculation",
        ),
        (
            "{calculation: lift-at-valve, output: lift, inputs: INPUTS}",
            r"\[\d+\]\.output",
            "lift",
            "one of lift_at_valve",
            "lift-at-valve gives no such output",
        ),
        (
            "{calculation: lift-at-valve, output: lift_at_valve, inputs: {lobe_lift: lift_in}}",
            r"\[\d+\]\.inputs",
            "lobe_lift",
            "rocker_ratio",
            "lift-at-valve needs an input that is not stated",
        ),
    ],
)
def test_a_calculation_that_is_not_registered_so(
    tmp_path: Path, text: str, field: str, value: str, expected: str, message: str
) -> None:
    inputs = "{lobe_lift: camshaft.lobe_lift_intake_in, rocker_ratio: rocker_arms.ratio}"
    body = text[1:-1].replace("INPUTS", inputs)
    planted = plant(tmp_path, "quantities.yaml", f"- {{id: probe_in, title: probe, unit: in, {body}}}")
    planted.finds(NAME, field, value, expected, message)


def test_an_input_that_a_calculation_does_not_take(tmp_path: Path) -> None:
    planted = plant(
        tmp_path,
        "quantities.yaml",
        "- {id: probe_in, title: probe, unit: in, calculation: lift-at-valve, output: lift_at_valve, "
        "inputs: {lobe_lift: camshaft.lobe_lift_intake_in, rocker_ratio: rocker_arms.ratio, "
        "hot_lahs: camshaft.lash_intake_in}}",
    )
    planted.finds(
        NAME,
        r"\[\d+\]\.inputs\.hot_lahs",
        "hot_lahs",
        "did you mean hot_lash?",
        "lift-at-valve takes no such input",
    )
