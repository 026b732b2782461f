"""The demo shop's legal notes and cautions: well formed, dated, sourced, and there where they are needed."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from tappetry.knowledge.language import compile_expression
from tappetry.knowledge.text import read_yaml
from tappetry.records.problems import Where

SHOP = Path(__file__).parents[2] / "src" / "tappetry" / "demo" / "shop"
NOTES: list[dict[str, Any]] = read_yaml(SHOP / "legal.yaml").data
CAUTIONS: list[dict[str, Any]] = read_yaml(SHOP / "cautions.yaml").data
OPERATIONS: list[dict[str, Any]] = read_yaml(SHOP / "operations.yaml").data

#: The member states of the Union since 2020, as ISO 3166-1 writes them (common knowledge, from memory).
EU = ["AT", "BE", "BG", "HR", "CY", "CZ", "DK", "EE", "FI", "FR", "DE", "GR", "HU", "IE"]
EU += ["IT", "LV", "LT", "LU", "MT", "NL", "PL", "PT", "RO", "SK", "SI", "ES", "SE"]


def holds(when: object, **roots: Any) -> bool:
    return compile_expression(when, Where()).truth(roots)


def lies_in(place: str, codes: list[str]) -> bool:
    return any(place == code or place.startswith(f"{code}-") for code in codes)


def notes(
    place: str, road_use: bool = True, phaser: str = "none", deact: str = "none", conversion: bool = True
) -> dict[str, str]:
    plan = {"phaser": phaser, "deact": deact, "conversion": conversion}
    roots = {"job": {"road_use": road_use, "place": place}, "plan": plan}
    return {
        note["id"]: note["verdict"]
        for note in NOTES
        if lies_in(place, note["places"])
        and not lies_in(place, note.get("except", []))
        and holds(note["when"], **roots)
    }


@pytest.mark.parametrize("note", NOTES, ids=lambda note: note["id"])
def test_a_note_is_whole(note: dict[str, Any]) -> None:
    assert set(note) - {"except"} == {
        "id",
        "places",
        "when",
        "verdict",
        "date",
        "text",
        "sources",
        "approved_by",
    }
    assert note["verdict"] in ("NOTE", "SIGN", "STOP")
    assert date.fromisoformat(str(note["date"])) <= date(2026, 12, 31)
    assert note["sources"]
    assert note["approved_by"]
    assert all(
        re.fullmatch(r"[A-Z]{2}(-[A-Z0-9]{1,3})?|Mardle county|no registration", p) for p in note["places"]
    )


def test_no_note_says_that_something_is_legal_or_stores_a_penalty() -> None:
    for note in NOTES:
        assert not re.search(r"\b(is|are) (legal|allowed|safe)\b", note["text"]), note["id"]
        assert not re.search(r"[$€£]|\d{1,3},\d{3}", note["text"]), note["id"]


def test_names_are_used_once() -> None:
    for records in (NOTES, CAUTIONS):
        ids = [record["id"] for record in records]
        assert len(ids) == len(set(ids))


@pytest.mark.parametrize(
    "place", ["US-NV", "US-CA", "US", *EU, "GB", "GB-SCT", "CA-ON", "AU-NSW", "Mardle county"]
)
@pytest.mark.parametrize("road_use", [True, False])
@pytest.mark.parametrize(("phaser", "deact"), [("none", "none"), ("remove", "none"), ("none", "remove")])
def test_every_covered_place_has_a_note_for_every_plan(
    place: str, road_use: bool, phaser: str, deact: str
) -> None:
    assert notes(place, road_use, phaser, deact)


@pytest.mark.parametrize("place", ["JP", "NO", "BR-SP", "", "Upper Mardle", "USA"])
def test_elsewhere_there_is_no_note_so_that_the_owner_writes_one(place: str) -> None:
    assert notes(place) == {}


def test_california_has_its_own_and_the_other_states_theirs() -> None:
    assert set(notes("US-CA")) == {"us-federal-any", "us-california-parts"}
    assert set(notes("US-NV")) == {"us-federal-any", "us-other-states"}


@pytest.mark.parametrize("place", ["US-NV", "DE", "GB", "CA-ON", "AU-NSW"])
def test_removal_on_the_road_is_signed_for(place: str) -> None:
    plain, removal = notes(place), notes(place, deact="remove")
    added = set(removal) - set(plain)
    assert added
    assert {removal[note] for note in added} == {"SIGN"}


@pytest.mark.parametrize("place", ["US-NV", "US-CA", *EU, "GB-SCT", "CA-ON", "AU-NSW", "Mardle county"])
def test_where_the_camshaft_stays_the_note_speaks_of_a_repair_alone(place: str) -> None:
    assert notes(place, conversion=False) == {"repair": "NOTE"}
    (text,) = [note["text"] for note in NOTES if note["id"] == "repair"]
    assert not re.search("modif|tamper|emission|power|declare", text)


def test_a_car_that_stays_off_the_road_is_still_told_about_the_road() -> None:
    assert "off-road-registered" in notes("US-NV", road_use=False)
    assert set(notes("no registration", road_use=False)) == {"no-registration"}


def test_the_demo_can_quote_in_its_own_county() -> None:
    assert set(notes("Mardle county", deact="remove").values()) == {"NOTE"}


@pytest.mark.parametrize("caution", CAUTIONS, ids=lambda caution: caution["id"])
def test_a_caution_is_whole_and_belongs_to_work_that_exists(caution: dict[str, Any]) -> None:
    assert set(caution) == {"id", "when", "work", "operations", "text", "source"}
    assert all(caution[name] for name in ("work", "text", "source"))
    assert set(caution["operations"]) <= {operation["code"] for operation in OPERATIONS}
    opened = ("heads", "valley", "pan", "front", "intake", "springs")
    roots = {f"access_{place}": True for place in opened}
    plan = {"heads": "off", "phaser": "none", "deact": "none", "conversion": True}
    assert holds(caution["when"], plan=plan, **roots) in (True, False)


def test_the_spring_caution_that_prints_is_the_one_for_where_the_heads_are() -> None:
    for heads, shown, hidden in (
        ("on", "springs-on-the-engine", "springs-on-the-bench"),
        ("off", "springs-on-the-bench", "springs-on-the-engine"),
    ):
        by_id = {
            caution["id"]: holds(caution["when"], plan={"heads": heads}, access_springs=True)
            for caution in CAUTIONS
            if "springs" in caution["id"]
        }
        assert by_id[shown]
        assert not by_id[hidden]


def test_work_that_can_hurt_carries_a_caution() -> None:
    covered = {code for caution in CAUTIONS for code in caution["operations"]}
    assert {
        "OP20",
        "OP30",
        "OP40",
        "OP41",
        "OP50",
        "OP80",
        "OP81",
        "OP120",
        "OP130",
        "OP140",
        "OP150",
    } <= covered
