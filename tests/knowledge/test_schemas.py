"""The published schemas: the invented shop keeps them, and a planted mistake of each kind does not.

Every text names its schema on the first line, for editors. Line and field of a mistake are looked up here
apart from the program: the line by its text, the value by the plain YAML reader. Texts that are spoilt at
random are judged by a second library of the same standard too.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from tappetry.knowledge import schema
from tappetry.knowledge.text import Document, parse_yaml, read_yaml
from tappetry.records.problems import BadInput, Where
from tappetry.services.shop import demo_folder, open_shop
from tappetry.services.trials import trials
from tests.knowledge.shops import replant

SHOP = demo_folder()
TEXTS = sorted(path.relative_to(SHOP).as_posix() for path in SHOP.rglob("*.yaml"))
MODELINE = re.compile(r"# yaml-language-server: \$schema=(\S+)\n")


def schema_path(text: str) -> str:
    """What the first line of a text names as its schema."""
    found = MODELINE.match((SHOP / text).read_text(encoding="utf-8"))
    assert found, f"the first line of {text} names no schema"
    return found.group(1)


def schema_of(text: str) -> str:
    """The kind of a text, as its first line names it."""
    return Path(schema_path(text)).name.removesuffix(".schema.json")


# ---- every text, every schema -----------------------------------------------------------------------------


@pytest.mark.parametrize("text", TEXTS)
def test_a_text_names_its_schema_and_keeps_it(text: str) -> None:
    assert not Path(schema_path(text)).is_absolute()
    file = (SHOP / text).parent / schema_path(text)
    assert json.loads(file.read_text(encoding="utf-8")) == schema.schema(schema_of(text))
    schema.check(read_yaml(SHOP / text, text), schema_of(text))


def test_a_text_names_the_schema_of_its_place() -> None:
    folders = {"needs": "needs", "jobs": "job"}
    for text in TEXTS:
        path = Path(text)
        assert schema_of(text) == folders.get(path.parent.name, path.stem)


def test_every_schema_has_a_text_in_the_shop() -> None:
    assert {schema_of(text) for text in TEXTS} == set(schema.names())


def fields(node: Any) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Every field that a schema states, with what it says of it."""
    if isinstance(node, dict):
        yield from node.get("properties", {}).items()
        for value in node.values():
            yield from fields(value)
    elif isinstance(node, list):
        for value in node:
            yield from fields(value)


@pytest.mark.parametrize("name", schema.names())
def test_every_field_is_explained(name: str) -> None:
    whole = schema.schema(name)
    assert whole["description"]
    silent = []
    for field, stated in fields(whole):
        shared = whole["$defs"][stated["$ref"].removeprefix("#/$defs/")] if "$ref" in stated else {}
        only_a_test = set(stated) == {"const"}
        if not only_a_test and not {**shared, **stated}.get("description"):
            silent.append(field)
    assert silent == []


# ---- planted mistakes --------------------------------------------------------------------------------------

SOUND_BREATHING = """
version: 1
air: {dry_pressure_kpa: 99.0, vapour_pressure_kpa: 1.0, temperature_k: 298.15}
bench: {depression_inh2o: 28, pressure_kpa: 101.3, temperature_k: 293.15}
octane_weight: 0.5
seat_lift_in: 0.006
part_load_air_fuel_ratio: 14.6
fuels:
  any: {stands_for: C8H18, research_octane: 91, motor_octane: 83, stoichiometric_ratio: 14.6,
    heating_value_mj_per_kg: 43.0, vaporisation_kj_per_kg: 340}
cooled_share: {port: 0.4}
fire: {wiebe_a: 6.908, wiebe_m: 2.0, completeness: 0.97, span_speed_rpm: 2000, speed_exponent: 0.15,
  residual_factor: 1.5, residual_from: 0.08, half_burned_deg: 8, latest_deg: 30}
blow_by: {speed_rpm: 2000, share: 0.010, rated_share: 0.006}
friction_factor: {intake: 0.006, exhaust: 0.008}
bend_loss: {runner: 0.6, primary: 0.5}
walls: {air_path_k: 305, runner_k: 330, intake_port_k: 370, head_k: 520, piston_k: 560, liner_k: 430,
  exhaust_port_k: 700, primary_k: 850, downpipe_k: 780, tailpipe_k: 620}
heads:
  H:
    intake: {runner_length_mm: 228, plenum_end_mm: 47, head_end_mm: 44, port_length_mm: 118, face_mm: 44,
      narrowest_mm: 41, narrowest_at: 0.45, throat_mm: 42.7, pocket_cc: 40}
    exhaust: {throat_mm: 34.3, port_length_mm: 69, face_mm: 37.5}
    flow: {lift_in: [0.1, 0.2], intake_cfm: [70, 137], exhaust_cfm: [54, 103]}
families:
  QX: {banks: [["1", "2"]], bearings: {main: {count: 3, diameter_mm: 65, width_mm: 22},
    rod: {count: 2, diameter_mm: 54, width_mm: 20}, cam: {count: 2, diameter_mm: 58, width_mm: 18}}}
engines:
  Q1:
    fuel: {name: any, system: port, air_fuel_ratio: 12.7}
    burn_span_deg: 30
    rated_rpm: 5200
    accessories: {idle_rpm: 650, torque_nm: 14, slope_nm: 1.5}
    intake: {air_path_length_mm: 700, air_path_mm: 80, air_path_loss: 2.5, throttle_mm: 75, throttles: 1,
      plenum_cc: 4500}
    exhaust: {primary_length_mm: 320, primary_mm: 38, collector_cc: 1100, downpipe_length_mm: 1400,
      tailpipe_length_mm: 2600, pipe_mm: 54, drop_kpa: 22, drop_flow_kg_per_h: 843, drop_temperature_k: 900}
"""

SOUND_MOTION = """
version: 1
reads: {cam: cam, spring: springs, retainer: retainers, pushrod: rods}
values: {rocker_ratio: a, installed_height_in: b, pushrod_od_mm: c, pushrod_wall_mm: d, pushrod_length_in: e,
  speed_rpm: f}
cam: {stiffness_n_per_mm: 60000, why: it bends, source: "common practice, no source"}
oil_column: {stiffness_n_per_mm: 40000, why: oil, source: "common practice, no source"}
rocker: {stiffness_n_per_mm: 12000, why: it bends, source: "common practice, no source"}
seat: {stiffness_n_per_mm: 50000, damping_ratio: 0.1, why: it gives, source: "common practice, no source"}
train:
  damping_ratio: 0.06
  why: it rubs
  source: common practice, no source
film: {thickness_um: 5, why: oil, source: "common practice, no source"}
spring:
  damping_ratio: 0.02
  rubbing_damping_ratio: 0.05
  rubbing_kinds: [dual]
  clash_factor: 10
  why: coils
  source: common practice, no source
lifter: {plunger_load_n: 30, leak_load_n: 220, leak_travel_mm: 3, leak_s: 30, refill_mm_per_s: 30,
  why: oil, source: "common practice, no source"}
limit: {speed_factor: 0.95, bounce_mm: 0.25, why: a spin test, source: "common practice, no source"}
"""

#: A small text of each kind that keeps its schema, one field on a line.
SOUND = {
    "attributes": """
- id: bore
  title: bore
  type: quantity
  unit: mm
  about: engine
""",
    "breathing": SOUND_BREATHING,
    "motion": SOUND_MOTION,
    "cautions": """
- id: springs
  when: true
  work: valve springs
  text: they jump
  source: common practice, no source
  operations: [OP41]
""",
    "notes": """
- id: limit
  to: calibrator
  need: calibration
  says: limit it to {lift_in:3} in
  why: it sets a fault
  source: trade
""",
    "family": """
id: QX
name: Quill
same_within: {bore: [0.1, 0.75]}
breaks:
  - feature: nose
    driver: casting
    from: N1
    to: N3
limits:
  - id: deck
    title: deck
    unit: mm
    max: 0.1
""",
    "fasteners": """
family: QX
source: invented
checked: 2026-01-12
orders:
  heads:
    rule: from the middle
torques:
  - joint: head-bolts
    lubricant: oil
    thread: M12x1.75
    count: 10
    stages: [{nm: 45}, {deg: 90}]
    single_use: true
""",
    "grind": """
G1:
  name: G1
  factory: false
  family: QX
  follower: solid flat
  base_circle_mm: 31.0
  lsa_deg: 110
  icl_deg: 106
  ecl_deg: 114
  lobe_lift_intake_in: 0.3
  duration_006_intake_deg: 268
  duration_050_intake_deg: 222
  lobe_p_intake: 7.4
  half_width_intake_deg: 159
  lash_intake_in: 0.016
  lobe_lift_exhaust_in: 0.3
  duration_006_exhaust_deg: 268
  duration_050_exhaust_deg: 222
  lobe_p_exhaust: 7.4
  half_width_exhaust_deg: 159
  lash_exhaust_in: 0.018
""",
    "job": """
job: J1
date: "2026-03-02"
road_use: true
facts:
  bore:
    value: 96.0 mm
    grade: measured
plan:
  cam: B1
  heads: "on"
""",
    "legal": """
- id: any
  places: [US]
  when: true
  verdict: NOTE
  date: 2026-01-12
  text: look it up
  sources: [the law]
  approved_by: owner
""",
    "needs": """
- id: camshaft
  title: camshaft
  group: Drive
  source: trade
  written: R
  house: true
""",
    "operations": """
- code: OP10
  what: check-in
  hours: 1.5
  when: true
""",
    "part-attributes": """
- id: nose
  title: nose
  type: choice
  values: [N1, N3]
  technical: true
""",
    "procedures": """
- id: tdc
  group: phase
  title: top dead centre
  do: find it
  source: trade
  readings:
    - id: difference
      title: difference
      unit: deg
      instrument: wheel
  accept: half a degree
  otherwise: again
  hard_stop: H2
""",
    "proofs": """
- id: solid
  title: not solid
  value: margin_in
  at_least: 0.06
  unit: in
  severity: STOP
  source: trade
  why: it breaks
""",
    "quantities": """
- id: lift_in
  title: lift
  unit: in
  is: 1 + 1
""",
    "rules": """
gates:
  - id: health
    that: engine.leak_down_percent < 15
    severity: SIGN
    why: rings first
    source: trade
""",
    "shop": """
shop:
  name: Sorrel
  place: Mardle
  paper: A4
money:
  currency: USD
  labour_rate: "118.00"
  tax: {parts: "7.25"}
  supplies_percent_of_labour: "4"
  supplies_cap: "65.00"
  quote_days: 14
packages:
  default: standard
limits: {}
evidence: {}
""",
    "spreads": """
- id: valve-drop
  engine: [valve-drop-intake]
  unmeasured: 0.010 in
  means: limits
  why: seats are sunk
  source: common practice, no source
""",
    "suppliers": """
- code: HVC
  name: Hollin Vale
  freight: "16.00"
""",
    "vehicles": """
- id: V1
  title: a pickup
  facts:
    - attribute: vin
      value: 9ZZT1L4A34H014820
      grade: seen
      source: dash plate
  application: A01
  engine: A01
  verdict: [agrees with the VIN]
""",
}

MISSING, UNKNOWN, TYPE, VALUE = "a key is missing", "a key is not known", "another type", "a value is wrong"

#: Schema, kind of mistake, what stands in the sound text, what is planted, line, field, value, expected.
MISTAKES = [
    ("attributes", MISSING, "  title: bore\n", "", 1, "[0]", '{"id": "bore", "type"', "all of id, title"),
    ("attributes", UNKNOWN, "unit:", "units:", 1, "[0]", '{"id": "bore", "title"', "only about, ask, drives"),
    ("attributes", TYPE, "title: bore", "title: [bore]", 2, "[0].title", '["bore"]', "a text"),
    ("attributes", VALUE, "type: quantity", "type: number", 3, "[0].type", "number", "one of quantity"),
    ("breathing", MISSING, "    rated_rpm: 5200\n", "", 28, "engines.Q1", '{"fuel"', "all of fuel"),
    ("breathing", UNKNOWN, "octane_weight:", "octane_wieght:", 1, "", '{"version"', "only air, bench"),
    ("breathing", TYPE, "throttles: 1", "throttles: x", 33, "engines.Q1.intake.throttles", "x", "a whole"),
    ("breathing", VALUE, "stands_for: C8H18", "stands_for: oil", 8, "fuels.any.stands_for", "oil", "one of"),
    ("motion", MISSING, "  why: it rubs\n", "", 9, "train", '{"damping_ratio": 0.06', "all of damping_ratio"),
    ("motion", UNKNOWN, "film:", "oil_film:", 1, "", '{"version"', "only cam, film"),
    ("motion", TYPE, "clash_factor: 10", "clash_factor: x", 18, "spring.clash_factor", "x", "a number"),
    ("motion", VALUE, "speed_factor: 0.95", "speed_factor: 2", 23, "limit.speed_factor", "2", "at most 1"),
    ("cautions", MISSING, "  source: common practice, no source\n", "", 1, "[0]", '{"id"', "all of id, when"),
    ("cautions", UNKNOWN, "when:", "wenn:", 1, "[0]", '{"id"', "only id, operations, source, text"),
    ("cautions", TYPE, "operations: [OP41]", "operations: OP41", 6, "[0].operations", "OP41", "a list"),
    ("cautions", VALUE, "id: springs", "id: Springs", 1, "[0].id", "Springs", "small letters"),
    ("notes", MISSING, "  to: calibrator\n", "", 1, "[0]", '{"id"', "all of id, to, need"),
    ("notes", UNKNOWN, "says:", "sais:", 1, "[0]", '{"id"', "only id, need, says, source, to"),
    ("notes", TYPE, "to: calibrator", "to: 3", 2, "[0].to", "3", "a text"),
    ("notes", VALUE, "source: trade", "source: hearsay", 6, "[0].source", "hearsay", "one of standard"),
    ("family", MISSING, "name: Quill\n", "", 1, "", '{"id": "QX"', "all of id, name"),
    ("family", MISSING, "    max: 0.1\n", "", 10, "limits[0]", '{"id": "deck"', "one of min, max, new"),
    ("family", UNKNOWN, "driver:", "drvier:", 5, "breaks[0]", '{"feature"', "only driver, feature, from"),
    ("family", TYPE, "max: 0.1", "max: thin", 13, "limits[0].max", "thin", "a number"),
    ("family", VALUE, "[0.1, 0.75]", "[0.1]", 3, "same_within.bore", "[0.1]", "a list of 2 or"),
    ("fasteners", MISSING, "    lubricant: oil\n", "", 8, "torques[0]", '{"joint"', "all of joint"),
    ("fasteners", UNKNOWN, "rule:", "rules:", 5, "orders.heads", '{"rules"', "only drawing"),
    ("fasteners", TYPE, "single_use: true", "single_use: x", 13, "torques[0].single_use", "x", "true or"),
    ("fasteners", VALUE, "lubricant: oil", "lubricant: tar", 9, "torques[0].lubricant", "tar", "one of"),
    ("fasteners", VALUE, "{nm: 45}", "{nm: 0}", 12, "torques[0].stages[0].nm", "0", "more than 0"),
    ("fasteners", VALUE, "M12x1.75", "M12 1.75", 10, "torques[0].thread", "M12 1.75", "a thread, such"),
    ("fasteners", VALUE, "count: 10", "fit: pressed", 8, "torques[0]", '{"joint"', "only one of stages, fit"),
    ("grind", MISSING, "  lsa_deg: 110\n", "", 1, "G1", '{"name": "G1"', "all of name, factory, family"),
    ("grind", UNKNOWN, "factory:", "factroy:", 1, "G1", '{"name": "G1"', "only band_from_rpm, base_circle"),
    ("grind", TYPE, "icl_deg: 106", "icl_deg: 106 deg", 8, "G1.icl_deg", "106 deg", "a number"),
    ("grind", VALUE, "lash_exhaust_in: 0.018", "lash_exhaust_in: 2", 21, "G1.lash_exhaust_in", "2", "at "),
    ("job", MISSING, 'date: "2026-03-02"\n', "", 1, "", '{"job": "J1"', "all of job, date, facts, plan"),
    ("job", UNKNOWN, "heads:", "haeds:", 8, "plan", '{"cam": "B1"', "only budget, cam, deact"),
    ("job", TYPE, "road_use: true", "road_use: often", 3, "road_use", "often", "true or false"),
    ("job", VALUE, 'heads: "on"', "heads: half", 10, "plan.heads", "half", "one of on, off"),
    ("legal", MISSING, "  date: 2026-01-12\n", "", 1, "[0]", '{"id": "any"', "all of id, places, when"),
    ("legal", UNKNOWN, "places:", "place:", 1, "[0]", '{"id": "any"', "only approved_by, date, except"),
    ("legal", TYPE, "sources: [the law]", "sources: the law", 7, "[0].sources", "the law", "a list"),
    ("legal", VALUE, "verdict: NOTE", "verdict: FINE", 4, "[0].verdict", "FINE", "one of NOTE, SIGN, STOP"),
    ("legal", VALUE, "2026-01-12", "12 January", 5, "[0].date", "12 January", "a day as year"),
    ("needs", MISSING, "  group: Drive\n", "", 1, "[0]", '{"id": "camshaft"', "all of id, title, group"),
    ("needs", UNKNOWN, "written:", "writen:", 1, "[0]", '{"id": "camshaft"', "only allowance, box"),
    ("needs", TYPE, "house: true", "house: maybe", 6, "[0].house", "maybe", "true or false"),
    ("needs", VALUE, "source: trade", "source: hearsay", 4, "[0].source", "hearsay", "one of standard"),
    ("operations", MISSING, "  hours: 1.5\n", "", 1, "[0]", '{"code": "OP10"', "all of code, what, hours"),
    ("operations", UNKNOWN, "what:", "waht:", 1, "[0]", '{"code": "OP10"', "only code, excludes, hours"),
    ("operations", TYPE, "hours: 1.5", "hours: long", 3, "[0].hours", "long", "a number"),
    ("operations", VALUE, "hours: 1.5", "hours: -1", 3, "[0].hours", "-1", "at least 0"),
    ("part-attributes", MISSING, "  values: [N1, N3]\n", "", 1, "[0]", '{"id": "nose"', "all of values"),
    ("part-attributes", UNKNOWN, "technical:", "techincal:", 1, "[0]", '{"id": "nose"', "only id, kind"),
    ("part-attributes", TYPE, "technical: true", "technical: very", 5, "[0].technical", "very", "true or"),
    ("part-attributes", VALUE, "[N1, N3]", "[N1, N1]", 4, "[0].values", '["N1", "N1"]', "a list that names"),
    ("procedures", MISSING, "  otherwise: again\n", "", 1, "[0]", '{"id": "tdc"', "beside hard_stop: accept"),
    ("procedures", UNKNOWN, "instrument:", "tool:", 7, "[0].readings[0]", '{"id": "difference"', "only each"),
    ("procedures", TYPE, "do: find it", "do: [find, it]", 4, "[0].do", '["find", "it"]', "a text"),
    ("procedures", VALUE, "hard_stop: H2", "hard_stop: H11", 13, "[0].hard_stop", "H11", "H1 to H10"),
    ("proofs", MISSING, "  why: it breaks\n", "", 1, "[0]", '{"id": "solid"', "all of id, title, value"),
    ("proofs", UNKNOWN, "at_least:", "atleast:", 1, "[0]", '{"id": "solid"', "only advice, at_least"),
    ("proofs", TYPE, "at_least: 0.06", "at_least: [0.06]", 4, "[0].at_least", "[0.06]", "a text or true or"),
    ("proofs", VALUE, "severity: STOP", "severity: HALT", 6, "[0].severity", "HALT", "one of STOP"),
    ("proofs", MISSING, "why: it", "stage: bench\n  why: it", 1, "[0]", '{"id": "solid"', "beside stage"),
    ("quantities", MISSING, "  title: lift\n", "", 1, "[0]", '{"id": "lift_in"', "all of id, title"),
    ("quantities", UNKNOWN, "unit:", "units:", 1, "[0]", '{"id": "lift_in"', "only calculation, id"),
    ("quantities", TYPE, "is: 1 + 1", "is: [1, 1]", 4, "[0].is", "[1, 1]", "a text or true or"),
    ("quantities", VALUE, "id: lift_in", "id: lift-in", 1, "[0].id", "lift-in", "small letters"),
    ("rules", MISSING, "    why: rings first\n", "", 2, "gates[0]", '{"id": "health"', "all of id, that"),
    ("rules", UNKNOWN, "gates:", "gate:", 1, "", '{"gate"', "only gates, rules"),
    ("rules", TYPE, "why: rings first", "why: 3", 5, "gates[0].why", "3", "a text"),
    ("rules", VALUE, "severity: SIGN", "severity: MAYBE", 4, "gates[0].severity", "MAYBE", "one of STOP"),
    ("shop", MISSING, "  default: standard\n", "  a: {title: a}\n", 12, "packages", '{"a"', "all of default"),
    ("shop", UNKNOWN, "labour_rate:", "labor_rate:", 5, "money", '{"currency"', "only card_fee_percent"),
    ("shop", TYPE, "quote_days: 14", "quote_days: two weeks", 11, "money.quote_days", "two weeks", "a whole"),
    ("shop", VALUE, "currency: USD", "currency: usd", 6, "money.currency", "usd", "three capitals, the"),
    ("spreads", MISSING, "  why: seats are sunk\n", "", 1, "[0]", '{"id": "valve-drop"', "all of id, why"),
    ("spreads", UNKNOWN, "means:", "menas:", 1, "[0]", '{"id": "valve-drop"', "only engine, id, kind"),
    ("spreads", TYPE, "[valve-drop-intake]", "drop", 2, "[0].engine", "drop", "a list"),
    ("spreads", VALUE, "means: limits", "means: about", 4, "[0].means", "about", "one of limits"),
    ("spreads", VALUE, "0.010 in", "ten thou", 3, "[0].unmeasured", "ten thou", "a number with"),
    ("suppliers", MISSING, "  name: Hollin Vale\n", "", 1, "[0]", '{"code": "HVC"', "all of code, name"),
    ("suppliers", UNKNOWN, "freight:", "fright:", 1, "[0]", '{"code": "HVC"', "only code, free_over"),
    ("suppliers", TYPE, "name: Hollin Vale", "name: 3", 2, "[0].name", "3", "a text"),
    ("suppliers", VALUE, '"16.00"', '"16,00"', 3, "[0].freight", "16,00", "an amount"),
    ("vehicles", MISSING, "      grade: seen\n", "", 4, "[0].facts[0]", '{"attribute"', "all of attribute"),
    ("vehicles", UNKNOWN, "engine:", "engnie:", 1, "[0]", '{"id": "V1"', "only application, asks"),
    ("vehicles", TYPE, "[agrees with the VIN]", "agrees", 10, "[0].verdict", "agrees", "a list"),
    ("vehicles", VALUE, "grade: seen", "grade: sure", 6, "[0].facts[0].grade", "sure", "one of assumed"),
]  # fmt: skip


@pytest.mark.parametrize("name", schema.names())
def test_the_sound_text_keeps_its_schema(name: str) -> None:
    schema.check(parse_yaml(SOUND[name].lstrip(), "a.yaml"), name)


@pytest.mark.parametrize("name", schema.names())
def test_every_kind_of_mistake_is_planted(name: str) -> None:
    assert {kind for schema_name, kind, *_ in MISTAKES if schema_name == name} == {
        MISSING,
        UNKNOWN,
        TYPE,
        VALUE,
    }


@pytest.mark.parametrize(
    ("name", "kind", "old", "new", "line", "field", "value", "expected"),
    MISTAKES,
    ids=[f"{name}-{kind}-{n}" for n, (name, kind, *_) in enumerate(MISTAKES)],
)
def test_a_mistake_is_told_with_its_place(
    name: str, kind: str, old: str, new: str, line: int, field: str, value: str, expected: str
) -> None:
    sound = SOUND[name].lstrip()
    assert sound.count(old) == 1
    with pytest.raises(BadInput) as error:
        schema.check(parse_yaml(sound.replace(old, new), "a.yaml"), name)
    told = {complaint.where: complaint for complaint in reversed(error.value.complaints)}
    place = Where("a.yaml", line, field)
    assert place in told, f"{kind}: told at {[str(where) for where in told]}"
    assert told[place].value.startswith(value)
    assert any(c.expected.startswith(expected) for c in error.value.complaints if c.where == place), (
        f"expected: {[c.expected for c in error.value.complaints]}"
    )


def test_the_vehicles_of_a_shop_are_checked_when_they_are_read(tmp_path: Path) -> None:
    found = replant(tmp_path, "vehicles.yaml", "  title: 2009 Haulm van\n", "  titel: 2009 Haulm van\n")
    with pytest.raises(BadInput) as error:
        trials(open_shop(found.folder))
    messages = {complaint.message for complaint in error.value.complaints}
    assert '"title" is a required property' in messages
    assert {c.where.file for c in error.value.complaints} == {"vehicles.yaml"}


# ---- another judge -----------------------------------------------------------------------------------------

VALUES = (None, True, -1, 0, 3.5, 10**9, "", "x", "X y", "2026-01-12", [], ["a", "a"], [1, 2], {}, {"a": 1})


def places(node: Any) -> Iterator[tuple[Any, Any]]:
    """Every place of a value: what holds it, and its key there."""
    for key, value in node.items() if isinstance(node, dict) else enumerate(node):
        yield node, key
        if isinstance(value, dict | list):
            yield from places(value)


@pytest.mark.parametrize("name", schema.names())
@settings(max_examples=settings.default.max_examples // 5)
@given(st.data())
def test_a_second_library_of_the_standard_judges_alike(name: str, data: st.DataObject) -> None:
    whole = [parse_yaml(SOUND[name].lstrip(), "a.yaml").data]
    for _ in range(data.draw(st.integers(1, 3))):
        holder, key = data.draw(st.sampled_from(list(places(whole))))
        change = data.draw(st.sampled_from(("another value", "a key left out", "a key too many")))
        if change == "another value" or not isinstance(holder, dict):
            holder[key] = deepcopy(data.draw(st.sampled_from(VALUES)))
        elif change == "a key left out":
            del holder[key]
        else:
            holder[data.draw(st.sampled_from(("a", "when", "A b")))] = deepcopy(holder[key])
    expected = len(list(Draft202012Validator(schema.schema(name)).iter_errors(whole[0])))
    try:
        schema.check(Document("a.yaml", whole[0], {}), name)
        found = 0
    except BadInput as error:
        found = len(error.complaints)
    assert found == expected
