"""The demo's families: what follows for each application, and arithmetic that must close."""

from __future__ import annotations

import math

import pytest

from tappetry.identification.evidence import World
from tappetry.records.evidence import Fact, Facts, Grade
from tests.identification import shop_text as shop

# The invented shop's application table: variant, head, deactivation, phaser, crank target, cam sensor, nose,
# head bolts, front cover, pump volume, pan port.
TABLE = """
A01 B51  S no  none 30-1 rear  N3 HB-A FC-1  100 none
A02 B51  S no  none 30-1 rear  N3 -    FC-1  100 none
A03 B56  L no  none 30-1 rear  N3 -    FC-1  100 none
A04 B51  S no  none 48-2 front N3 HB-B FC-2  100 none
A05 B56  L yes none 48-2 front N3 HB-B FC-2  127 M20x1.5
A06 B56  L yes PH-A 48-2 front N1 HB-B FC-3  127 M20x1.5
A07 B56  L no  PH-A 48-2 front N1 HB-B FC-3  112 none
A08 B63L L no  PH-A 48-2 front N1 HB-B FC-3  112 none
A09 B63L L yes PH-A 48-2 front N1 HB-B FC-3  127 M20x1.5
A10 B56  L yes PH-B 48-2 front N1 HB-B FC-3D 127 M22x1.5
A11 B63R R -   PH-B 48-2 front N1 HB-B FC-3D -   -
A12 B67  R no  PH-B 48-2 front N1 HB-B FC-3D 112 none
A13 B67  R yes PH-B 48-2 front N1 HB-B FC-3D 127 M22x1.5
A14 B63L L no  none 48-2 front N3 HB-B FC-2  100 none
"""
COLUMNS = (
    "variant",
    "head-type",
    "deact-hardware",
    "phaser-hardware",
    "crank-target",
    "cam-sensor-pos",
    "cam-nose",
    "head-bolt-class",
    "front-cover",
    "oil-pump-volume",
    "pan-bypass-thread",
)
#: Displacement in cc and static compression ratio as the shop's book prints them.
PRINTED = {
    "B51": (5095.7, 9.92),
    "B56": (5603.9, 10.31),
    "B63L": (6320.2, 10.79),
    "B63R": (6320.2, 10.79),
    "B67": (6719.4, 11.01),
    "OS39": (3908.8, 9.11),
    "ML55": (5545.1, 8.55),
}


def built(application: str) -> Facts:
    return World(shop.families(), shop.attributes()).built(application)


def shown(facts: Facts, attribute: str) -> str:
    fact = facts.get(attribute)
    return fact.show().removesuffix(f" {fact.unit}") if fact else "-"


@pytest.mark.parametrize("row", TABLE.split("\n")[1:-1], ids=lambda row: row[:3])
def test_application_table(row: str) -> None:
    application, *expected = row.split()
    assert [shown(built(application), column) for column in COLUMNS] == expected


def engines() -> list[tuple[str, Facts]]:
    world = World(shop.families(), shop.attributes())
    return [
        (str(world.built(a)["variant"].value), world.built(a))
        for a in ("A01", "A03", "A08", "A11", "A12", "OS-E", "ML-L")
    ]


@pytest.mark.parametrize(("variant", "facts"), engines(), ids=[name for name, _ in engines()])
def test_arithmetic_of_each_variant_closes(variant: str, facts: Facts) -> None:
    v = {name: float(str(fact.value)) for name, fact in facts.items() if isinstance(fact.value, float)}
    deck = v["stroke"] / 2 + v["rod-length"] + v["pin-height"] + v["deck-clearance"]
    assert deck == pytest.approx(v["deck-height"], abs=1e-9)
    swept = math.pi / 4 * v["bore"] ** 2 * v["stroke"] / 1000
    gasket = math.pi / 4 * v["gasket-bore"] ** 2 * v["gasket-thickness"] / 1000
    above = math.pi / 4 * v["bore"] ** 2 * v["deck-clearance"] / 1000
    clearance = v["chamber"] + v["piston-dish"] + gasket + above
    displacement, ratio = PRINTED[variant]
    assert swept * v["cylinders"] == pytest.approx(displacement, abs=0.05)
    assert (swept + clearance) / clearance == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize(("variant", "facts"), engines(), ids=[name for name, _ in engines()])
def test_valves_fit_their_bore_with_the_printed_span(variant: str, facts: Facts) -> None:
    v = {name: float(str(fact.value)) for name, fact in facts.items() if isinstance(fact.value, float)}
    span = v["valve-centres"] + (v["intake-valve-diameter"] + v["exhaust-valve-diameter"]) / 2
    assert span == pytest.approx(v["valve-span"], abs=1e-9), variant
    assert (v["bore"] - span) / 2 >= 1.0


def test_bolt_holes_take_their_own_class_and_refuse_the_other() -> None:
    # The shop's bolt arithmetic: length - clamped length goes into the hole, thread starts below the deck.
    family = shop.families()["BR"]
    clamped = {"upper": 92.0, "lower": 62.0}
    engaged = {}
    for holes in ("HB-A", "HB-B"):
        for bolts in ("HB-A", "HB-B"):
            fact = {"head-bolt-class": Fact("head-bolt-class", holes, Grade.seen, "")}
            hole = next(t for t in family.tables if t.by == ("head-bolt-class",)).row_for(fact)
            bolt = family.fitted["head-bolts-main"].row_for(
                {"head-bolt-class": Fact("head-bolt-class", bolts, Grade.seen, "")}
            )
            assert hole is not None
            assert bolt is not None
            for row, length in clamped.items():
                depth = float(str(bolt[f"{row}_length_mm"])) - length
                clear = float(str(hole["head-bolt-hole-bottom"])) - depth
                engaged[holes, bolts, row] = (clear, depth - float(str(hole["head-bolt-thread-start"])))
    for row in clamped:
        assert engaged["HB-A", "HB-A", row] == (7.0, 41.0)
        assert engaged["HB-B", "HB-B", row] == (10.0, 26.0)
        assert engaged["HB-B", "HB-A", row][0] == -25.0  # bottoms 25 mm early
        assert engaged["HB-A", "HB-B", row][1] == 6.0  # six millimetres of thread


def test_pickup_ring_squeeze_is_inside_its_band() -> None:
    family = shop.families()["BR"]
    groove = float(str(family.attributes["pickup-groove"]))
    for inlet, squeeze in ((20.8, 20.0), (21.8, 19.4), (23.0, 18.4)):
        facts = {"pump-inlet": Fact("pump-inlet", inlet, Grade.measured, "")}
        ring = family.fitted["pickup-oring"].row_for(facts)
        assert ring is not None
        section = float(str(ring["section_mm"]))
        assert (section - (inlet - groove) / 2) / section * 100 == pytest.approx(squeeze, abs=0.05)


def test_firing_order_is_the_order_of_top_dead_centres() -> None:
    # Common practice, no source: evenly spaced, each cylinder at its own top dead centre.
    for name, spacing in (("BR", 90), ("ML", 90), ("OS", 120)):
        family = shop.families()[name]
        reference = family.reference
        throws = reference["crank_throws_deg"]
        pairs = reference.get("throw_pairs") or [[n] for n in range(1, 7)]
        tdc = {
            cylinder: (-throw + place * reference.get("bank_delay_deg", 0)) % 360
            for throw, pair in zip(throws, pairs, strict=True)
            for place, cylinder in enumerate(pair)
        }
        order = [int(cylinder) for cylinder in family.attributes["firing-order"]]
        assert [tdc[cylinder] for cylinder in order] == [spacing * n % 360 for n in range(len(order))]


def test_every_second_cylinder_of_the_firing_order_deactivates() -> None:
    attributes = shop.families()["BR"].attributes
    assert set(attributes["firing-order"][1::2]) == set(attributes["deact-cylinders"])
    assert len(attributes["deact-cylinders"]) == attributes["deact-cylinder-count"]


def test_every_attribute_of_a_family_is_in_the_list_and_has_its_values() -> None:
    known = shop.attributes()
    for family in shop.families().values():
        rows = [family.attributes, *(r for t in family.tables for r in t.rows.values())]
        rows += [application.attributes for application in family.applications]
        rows += [remark.when for remark in family.remarks]
        for attribute, value in ((a, v) for row in rows for a, v in row.items()):
            schema = known[attribute]
            assert not schema.values or value in schema.values, (family.id, attribute, value)
            kind = {"truth": bool, "quantity": float, "count": float, "list": tuple}.get(schema.type, str)
            assert isinstance(value, kind), (family.id, attribute, value)
            if isinstance(value, float):
                assert schema.min is None or schema.min <= value, (family.id, attribute, value)
                assert schema.max is None or value <= schema.max, (family.id, attribute, value)
        asked = {name for remark in family.remarks for name in remark.ask}
        keys = {name for table in family.tables for name in table.by} | set(family.identity) | asked
        assert keys <= known.keys()


def test_every_attribute_says_how_to_see_it_and_what_to_ask() -> None:
    for schema in shop.attributes().values():
        assert schema.see, schema.id
        assert schema.ask.endswith("?"), schema.id
        assert schema.drives, schema.id
        assert schema.grade in Grade.__members__, schema.id


def lobe(lift: float, p: float, half_width: float, angle: float) -> float:
    """The grinds' own law: a polynomial whose first four derivatives vanish where the lobe ends."""
    x = abs(angle) / half_width
    n = (2, p, 2 * p - 2, 3 * p - 4, 4 * p - 6)
    terms = (math.prod(n[j] / (n[j] - n[k]) for j in range(5) if j != k) * x ** n[k] for k in range(5))
    return lift * (1 - sum(terms)) if x < 1 else 0.0


def grinds() -> dict[str, dict[str, float]]:
    return dict(shop.read("tables/grind.yaml"))


@pytest.mark.parametrize("name", grinds())
def test_each_lobe_has_the_durations_of_its_card(name: str) -> None:
    card = grinds()[name]
    for side in ("intake", "exhaust"):
        shape = (card[f"lobe_lift_{side}_in"], card[f"lobe_p_{side}"], card[f"half_width_{side}_deg"])
        assert lobe(*shape, 0.0) == card[f"lobe_lift_{side}_in"]
        for height, tag in ((0.050, "050"), (0.006, "006")):
            half = card[f"duration_{tag}_{side}_deg"] / 2
            assert lobe(*shape, half) == pytest.approx(height, abs=2e-5)
    assert (card["icl_deg"] + card["ecl_deg"]) / 2 == card["lsa_deg"]


def test_a_printed_lobe_table() -> None:
    # The shop's book, intake lobe of the second towing grind, every 20 degrees from the centreline.
    card = grinds()["B2"]
    shape = (card["lobe_lift_intake_in"], card["lobe_p_intake"], card["half_width_intake_deg"])
    printed = [0.3450, 0.3315, 0.2916, 0.2285, 0.1514, 0.0771, 0.0249, 0.0031]
    assert [lobe(*shape, 20.0 * n) for n in range(8)] == pytest.approx(printed, abs=5e-5)
