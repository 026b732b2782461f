"""Evidence settles, contradictions stay, the unknown stays unknown, bad numbers warn."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tappetry.identification.resolve import Identification, resolve
from tappetry.records.evidence import Fact, Grade
from tappetry.records.verdict import Verdict
from tests.identification import shop_text as shop
from tests.identification.shop_text import fact

SEDAN = fact("vin", "9ZZW2SSE6CK051209", "seen", "dash plate")


def identify(*facts: Fact, not_to_ask: tuple[str, ...] = ()) -> Identification:
    return resolve(facts, shop.families(), shop.attributes(), not_to_ask)


def test_nothing_known_gives_nothing() -> None:
    result = identify()
    assert len(result.engine_as_found.facts) == len(result.engine_as_built.facts) == 0
    assert result.candidates == result.findings == ()
    assert result.verdict == "not identified: neither VIN nor family is known"
    assert result.next_question is not None
    assert result.next_question.attribute == "vin"
    after = identify(not_to_ask=("vin",)).next_question
    assert after is not None
    assert after.attribute == "family"


def test_vin_alone_leaves_unknown_what_no_table_tells() -> None:
    result = identify(SEDAN)
    for attribute in ("mileage", "build-date", "compression-spread", "oil-metal", "deck-state"):
        assert attribute not in result.engine_as_found.facts
    assert "deck-state" in result.unknown
    assert "mileage" not in result.unknown  # use, not the engine itself


@pytest.mark.parametrize(("grade", "in_charge"), [("told", "L"), ("decoded", "R"), ("seen", "R")])
def test_better_evidence_overrules_and_the_contradiction_stays(grade: str, in_charge: str) -> None:
    result = identify(SEDAN, fact("head-type", "R", grade, "port photo"))
    facts = result.engine_as_found.facts
    assert facts["head-type"].value == in_charge
    assert facts["valve-angle"].value == {"L": 14.0, "R": 11.5}[in_charge]
    (disagreement,) = [d for d in facts.disagreements if d.attribute == "head-type"]
    assert {f.value for f in disagreement.facts} == {"L", "R"}
    assert disagreement.facts[0].value == in_charge
    (finding,) = [f for f in result.findings if f.id == "contradiction-head-type"]
    assert finding.verdict is Verdict.WARN
    assert f"head type is not the VIN's: L by the VIN, {grade} R" in result.verdict
    assert "agrees" not in result.verdict


def test_derived_facts_inherit_the_lowest_grade_and_are_never_measured() -> None:
    facts = identify(SEDAN, fact("head-bolt-class", "HB-B", "measured", "probe")).engine_as_found.facts
    assert facts["head-bolt-class"].grade == Grade.measured
    assert facts["head-bolt-hole-bottom"].grade == Grade.seen
    assert facts["front-cover"].grade == Grade.decoded  # era and phaser are only decoded
    told = identify(fact("application", "A06", "told", "customer")).engine_as_found.facts
    assert told["variant"].grade == told["gasket-bore"].grade == Grade.told


def test_stated_beats_derived_of_equal_grade() -> None:
    facts = identify(SEDAN, fact("valley-cover", "bosses", "decoded", "old invoice")).engine_as_found.facts
    assert (facts["valley-cover"].value, facts["valley-cover"].source) == ("bosses", "old invoice")


def test_a_measured_size_in_place_of_the_nominal_one_is_a_note() -> None:
    result = identify(SEDAN, fact("installed-height", "1.812 in", "measured", "height gauge"))
    assert result.engine_as_found.facts["installed-height"].show() == "1.812 in"
    (finding,) = [f for f in result.findings if f.id == "contradiction-installed-height"]
    assert finding.verdict is Verdict.NOTE
    assert finding.text == (
        "installed-height: 1.812 in (measured, height gauge); 1.8 in (decoded, follows from head type L "
        "(decoded, follows from variant B56 (decoded, follows from application A06 (decoded, VIN "
        "9ZZW2SSE6CK051209)))); the first is in charge"
    )
    assert "agrees with the VIN" in result.verdict


@pytest.mark.parametrize(
    ("bore", "variant"),
    [("98.95 mm", "B56"), ("99.02 mm", "B56"), ("99.5 mm", "B56"), ("96.25 mm", "B51"), ("105.5 mm", "B67")],
)
def test_a_worn_or_rebored_cylinder_is_still_its_variant(bore: str, variant: str) -> None:
    family = fact("family", "BR", "seen", "casting")
    facts = identify(family, fact("bore", bore, "measured", "gauge")).engine_as_found.facts
    assert facts["variant"].value == variant


def test_a_bore_between_variants_says_nothing() -> None:
    result = identify(fact("family", "BR"), fact("bore", "101.5 mm", "measured", "gauge"))
    assert "variant" not in result.engine_as_found.facts
    assert "head-type" not in result.engine_as_found.facts


def test_one_bore_of_two_variants_needs_the_head() -> None:
    bore = fact("bore", "104.0 mm", "measured", "gauge")
    assert "variant" not in identify(fact("family", "BR"), bore).engine_as_found.facts
    with_head = identify(fact("family", "BR"), bore, fact("head-type", "R")).engine_as_found.facts
    assert with_head["variant"].value == "B63R"
    assert with_head["redline"].value == 6200.0


def test_told_engine_does_not_make_a_swap() -> None:
    result = identify(SEDAN, fact("variant", "B67", "told", "customer"))
    assert result.engine_as_found.facts["variant"].value == "B56"
    assert "vin-vs-engine" not in [finding.id for finding in result.findings]
    assert "variant is not the VIN's: B56 by the VIN, told B67" in result.verdict


def test_engine_of_another_family_in_the_car() -> None:
    result = identify(SEDAN, fact("family", "ML", "seen", "casting"), fact("thrust-control", "lobe taper"))
    facts = result.engine_as_found.facts
    assert result.engine_as_built.family == "BR"
    assert (result.engine_as_found.family, result.engine_as_found.application) == ("ML", "ML-E")
    assert (facts["bore"].value, facts["fuel-system"].value) == (102.5, "carburettor")
    assert facts["ecu"].value == "supported"  # the car's control unit, by its VIN
    assert result.verdict == "engine swap: VIN says engine family BR, found ML"


def test_origin_alone_tells_that_the_papers_do_not_hold() -> None:
    result = identify(SEDAN, fact("engine-origin", "used swap", "seen", "stamp is another car's"))
    assert result.verdict == "engine swap: origin of the engine is used swap"
    assert "variant" not in result.engine_as_found.facts
    assert "bore" not in result.engine_as_found.facts
    assert result.engine_as_built.facts["variant"].value == "B56"
    assert result.engine_as_found.facts["axle-ratio"].value == 3.08


def test_castings_alone_give_what_all_their_applications_have_alike() -> None:
    result = identify(fact("block-casting", "4417-B", "seen", "photo"))
    facts = result.engine_as_found.facts
    assert result.engine_as_found.application == ""
    assert (result.engine_as_found.family, facts["phaser-hardware"].value) == ("BR", "none")
    assert "variant" not in facts  # 4417-B served two
    assert "A02 or A03 or A04" in facts["phaser-hardware"].source
    best = [c.application for c in result.candidates if not c.disagrees]
    assert best == ["A02", "A03", "A04"]


def test_features_that_two_applications_share_choose_neither() -> None:
    result = identify(fact("head-type", "R"), fact("deact-hardware", True))
    assert result.engine_as_found.application == ""
    assert result.engine_as_found.facts["phaser-hardware"].value == "PH-B"  # A11 and A13 alike
    assert "variant" not in result.engine_as_found.facts


def test_transmission_decides_what_the_vin_leaves_open() -> None:
    pickup = fact("vin", "9ZZT1LSKXJH500001", "seen", "dash plate")
    assert "deact-hardware" not in identify(pickup).engine_as_found.facts
    question = identify(pickup).next_question
    assert question is not None
    assert question.attribute == "transmission"
    for gearbox, hardware, casting in (("auto 8", True, "6240-D"), ("manual 6", False, "6240")):
        facts = identify(pickup, fact("transmission", gearbox)).engine_as_found.facts
        assert facts["deact-hardware"].value is hardware
        assert facts["block-casting"].value == casting


def test_candidates_say_what_agrees_and_what_does_not() -> None:
    result = identify(SEDAN, fact("block-casting", "5128", "seen", "photo"))
    best = next(c for c in result.candidates if c.application == "A06")
    assert [a.show() for a in best.agrees] == [
        "W at position 4, E at position 8 fits",
        "model year 2012 fits",
    ]
    assert [(d.source, d.show()) for d in best.disagrees] == [
        ("photo", "block casting 5128, expected 5128-D")
    ]


def test_wrong_check_digit_warns_and_the_rest_still_counts() -> None:
    result = identify(fact("vin", "9ZZW2SSE0CK051209", "seen", "dash plate"))
    assert result.engine_as_built.application == "A06"
    (finding,) = result.findings
    assert (finding.id, finding.verdict) == ("vin-form", Verdict.WARN)
    assert finding.text.startswith("vin position 9: the check digit does not fit")


def test_a_number_of_another_maker_fits_nothing() -> None:
    result = identify(fact("vin", "1" * 17, "seen", "dash plate"))
    assert result.engine_as_built.application == ""
    assert [finding.id for finding in result.findings] == ["vin-unknown"]
    assert result.verdict == f"the VIN {'1' * 17} fits no application of the shop's families"


def test_model_year_outside_of_production_fits_nothing() -> None:
    assert identify(fact("vin", "9ZZW2SSE0KK051209")).engine_as_built.application == ""  # 2019, built to 2015


def test_older_serial_is_kept_and_the_engine_is_known_by_what_is_seen() -> None:
    result = identify(
        fact("vin", "55V1A30127", "seen", "door plate"),
        fact("family", "ML", "seen", "casting"),
        fact("application", "ML-E", "seen", "flat block face, no thrust plate"),
    )
    assert result.engine_as_found.facts["vin"].value == "55V1A30127"
    assert result.engine_as_found.facts["thrust-control"].value == "lobe taper"
    assert [finding.id for finding in result.findings] == ["vin-form"]
    assert result.verdict == "application ML-E by flat block face, no thrust plate"


def test_question_names_what_hangs_on_it() -> None:
    question = identify(fact("vin", "9ZZT1L4CX7H203311")).next_question
    assert question is not None
    assert question.attribute == "block-casting"
    assert "head bolt class" in question.hangs_on_it
    assert question.see
    assert question.question.endswith("?")


def test_crate_engine_remark_only_without_a_vin() -> None:
    crate = fact("engine-serial", "CR63-01842", "seen", "plate")
    assert "no VIN" in identify(crate).verdict
    assert "no VIN" not in identify(crate, SEDAN).verdict


SERVICE_BLOCK = (*shop.facts_of("V5"), *shop.facts_of("V1")[1:2])
IN_ORDER = identify(*SERVICE_BLOCK)


@pytest.mark.slow
@settings(max_examples=20)
@given(st.permutations(SERVICE_BLOCK))
def test_order_of_facts_about_different_things_does_not_matter(facts: list[Fact]) -> None:
    result = identify(*facts)
    assert result.verdict == IN_ORDER.verdict
    assert dict(result.engine_as_found.facts) == dict(IN_ORDER.engine_as_found.facts)


@pytest.mark.slow
@settings(max_examples=40)
@given(st.lists(st.sampled_from([f for v in shop.vehicles() for f in shop.facts_of(v["id"])]), max_size=8))
def test_any_mixture_of_facts_is_identified_without_inventing(facts: list[Fact]) -> None:
    result = identify(*facts)
    found = result.engine_as_found.facts
    for stated in facts:
        assert found[stated.attribute].grade >= stated.grade
    for known in found.values():
        assert known in facts or known.grade <= Grade.seen
        assert known.source
    assert not set(result.unknown) & set(found)


def test_a_conclusion_is_known_no_better_than_what_it_rests_on() -> None:
    told = identify(fact("bore", 99.0, "told", "customer"))
    measured = identify(fact("bore", 99.0, "measured", "workbench"))

    assert {known.grade for known in told.engine_as_found.facts.values()} == {Grade.told}
    assert measured.engine_as_found.facts["bore"].grade is Grade.measured
    assert measured.engine_as_found.facts["family"].grade is Grade.decoded
