"""Commands on a job: kit, prove, why, and a job that is made anew."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import yaml

from tappetry.jobs.reader import read_job
from tappetry.records.evidence import Grade
from tappetry.services.job_template import job_template
from tappetry.services.kits import kit_for_file
from tappetry.services.shop import Shop, open_shop
from tests.cli.calling import Said, call, refused

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def kit(shop: Shop, job: Path) -> dict[str, Any]:
    """The kit of the job as a script reads it."""
    data: dict[str, Any] = call("kit", job, "--json").data
    return data


@pytest.fixture(scope="module")
def page(shop: Shop, job: Path) -> Said:
    """The kit of the job as a person reads it, with the reasons."""
    return call("kit", job, "--why")


# --- for scripts ---------------------------------------------------------------------------------------


def test_a_kit_has_the_parts_that_scripts_rely_on(kit: dict[str, Any]) -> None:
    assert {"lines", "operations", "totals", "proofs", "unknowns", "left_over", "identification"} <= set(kit)
    for line in kit["lines"]:
        assert {"part", "supplier", "quantity", "unit", "unit_price", "line_total", "needs", "why"} <= set(
            line
        )
        assert Decimal(line["line_total"]) == line["quantity"] * Decimal(line["unit_price"])
        assert line["why"], line["part"]
    assert all({"code", "hours"} <= set(operation) for operation in kit["operations"])


def test_the_totals_are_decimal_texts_that_add_up(kit: dict[str, Any]) -> None:
    totals = kit["totals"]
    parts = ("parts", "services", "labour", "supplies", "tax")
    assert all(re.fullmatch(r"\d+\.\d\d", totals[name]) for name in (*parts, "total"))
    assert sum(Decimal(totals[name]) for name in parts) == Decimal(totals["total"])
    lines = sum(Decimal(line["line_total"]) for line in kit["lines"])
    assert lines == Decimal(totals["parts"]) + Decimal(totals["services"])


def test_proofs_say_value_limit_margin_and_where_the_inputs_come_from(shop: Shop, job: Path) -> None:
    data = call("prove", job, "--json").data
    keys = {
        "id",
        "value",
        "limit",
        "margin",
        "unit",
        "verdict",
        "band",
        "chance_of_failing",
        "source",
        "inputs",
    }
    assert data["job"] == "J1"
    assert data["proofs"]
    for proof in data["proofs"]:
        assert keys <= set(proof)
        assert proof["verdict"] in {"pass", "STOP", "SIGN", "WARN", "NOTE", "UNKNOWN"}
        assert all({"name", "value", "unit", "provenance"} <= set(each) for each in proof["inputs"])


def test_progress_never_stands_among_the_answer(shop: Shop, job: Path) -> None:
    said = call("prove", job, "--json")
    assert said.data
    assert re.search(r"ok the kit of J1\.yaml: \d+ lines, proved optimal \(\d+\.\d s\)", said.err)


def test_the_same_job_gives_the_same_bytes(shop: Shop, job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = call("kit", job, "--json").out
    monkeypatch.setattr("tappetry.services.kits.kit_for_file", kit_for_file)  # solved again, not remembered
    monkeypatch.setattr("tappetry.services.shop.open_shop", open_shop)
    assert call("kit", job, "--json").out == first


# --- for people ----------------------------------------------------------------------------------------


def test_a_page_shows_everything_in_order(page: Said) -> None:
    headings = [
        "Identification",
        "Gates and findings",
        "The order, what stays, what is left out, what is not known",
        "Left over",
        "Labour",
        "Proofs",
        "On hold",
        "Money",
        "Ask next",
        "Law",
        "Cautions",
        "Proved optimal",
        "Why",
    ]
    places = [page.out.index(f"\n{heading}") for heading in headings]
    assert places == sorted(places)
    assert "agrees with the VIN" in page.words
    assert "passed: plan phaser" in page.words


def test_a_page_shows_each_line_and_each_sum(page: Said, kit: dict[str, Any]) -> None:
    for line in kit["lines"]:
        assert f" {line['part']} " in page.out
    total = Decimal(kit["totals"]["total"])
    assert f"{total:,}" in page.out
    for hold in kit["holds"]:
        assert hold["part"] in page.out


def test_a_page_has_no_colour_when_it_is_no_terminal(page: Said) -> None:
    assert "\x1b" not in page.out


def test_a_kit_that_is_not_proved_says_so(shop: Shop, job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    result = kit_for_file(shop, job)
    stages = (("first", 0, True), ("price", 1, False))
    doubted = replace(result, kit=replace(result.kit, proved_optimal=False, stages=stages))
    monkeypatch.setattr("tappetry.services.kits.kit_for_file", lambda *_: doubted)
    said = call("kit", job)
    assert "Not proved optimal: a better kit may exist (open: price)." in said.words
    assert "lines, not proved optimal" in said.err


# --- why -----------------------------------------------------------------------------------------------


def test_why_a_need_runs_down_to_who_said_so(shop: Shop, job: Path) -> None:
    data = call("why", job, "valve-springs", "--json").data
    assert [reason["part"] for reason in data["reasons"]] == ["QS-362.16"]
    why = data["reasons"][0]["why"]
    assert why[0]["kind"] == "need"
    facts = [each for each in why if each["kind"] == "fact"]
    assert any("decoded" in each["source"] and "VIN" in each["source"] for each in facts)
    said = call("why", job, "valve-springs")
    assert "1 set of 16 x QS-362.16: S2 beehive, set of 16" in said.words
    assert "for: valve springs" in said.words
    assert "known: spring seat od 1.3 in [decoded: follows from head type L" in said.words


def test_why_a_part_and_the_whole_kit(shop: Shop, job: Path, kit: dict[str, Any]) -> None:
    part = kit["lines"][0]["part"]
    assert [each["part"] for each in call("why", job, part, "--json").data["reasons"]] == [part]
    every = call("why", job, "--json").data["reasons"]
    assert len(every) == len(kit["lines"]) + len(kit["kept"]) + len(kit["declined"])


def unbranched(said: Said) -> str:
    """What was said, without the branches of its trees."""
    return " ".join(re.sub("[│├└─]+", " ", said.words).split())


def test_why_not_another_part_says_what_each_would_cost_or_break(shop: Shop, job: Path) -> None:
    (place,) = call("why", job, "timing-chain", "--json").data["places"]
    assert (place["need"], place["state"], place["parts"]) == ("timing-chain", "new", ["LX-3215"])
    (other,) = place["runners_up"]
    assert (other["part"], other["cost"]["total"], other["cost"]["landed"]) == ("LX-3205", "-42.90", "-9.00")
    assert (other["behind"]["kind"], other["behind"]["id"]) == ("preference", "chain-heavy")
    said = unbranched(call("why", job, "timing-chain"))
    assert "What else there was: timing chain" in said
    assert "cheaper by 42.90 (landed cost 9.00 less), but the house prefers otherwise" in said
    broken = unbranched(call("why", job, "cam-retainer-bolts"))
    assert "by itself 4.50 less, but" in broken
    assert "a hex head on a countersunk plate touches the sprocket" in broken


def test_why_a_need_buys_nothing(shop: Shop, job: Path) -> None:
    data = call("why", job, "head-studs", "--json").data
    assert [reason["needs"] for reason in data["reasons"]] == [["head-studs"]]
    assert [each["part"] for each in data["places"][0]["runners_up"]] == ["IF-12SB-E"]
    said = unbranched(call("why", job, "head-studs"))
    assert "not needed: under street load new torque-to-yield bolts clamp as well" in said
    assert "dearer by 271.35" in said
    assert "No other part of the price lists comes into question." in call("why", job, "cam-gear").words


def test_why_of_a_whole_job_is_a_short_page(shop: Shop, job: Path, kit: dict[str, Any]) -> None:
    said = call("why", job)
    for line in kit["lines"]:
        assert f" {line['part']} " in said.out
    assert "What is not bought, though it could be" in said.out
    assert re.search(r"LX-3205:\s+.*?cheaper by", said.words)
    assert len(said.out.splitlines()) < 6 * len(kit["lines"])


def test_why_something_stays_or_is_left_out(shop: Shop, job: Path, kit: dict[str, Any]) -> None:
    kept = next(each for each in kit["kept"] if each["why"])
    said = call("why", job, kept["need"])
    assert kept["text"] in said.words
    offer = kit["declined"][0]
    assert f"to leave it: {offer['reason_to_decline']}" in call("why", job, offer["need"]).words.replace(
        "│ ", ""
    )


def test_why_of_nothing_in_the_kit_names_the_closest(shop: Shop, job: Path) -> None:
    code, error = refused("why", job, "valve-sprigns")
    assert code == 3
    assert error["message"] == (
        "job J1: the kit has no such part or need; did you mean valve-springs? (read: valve-sprigns)"
    )


# --- a new job -----------------------------------------------------------------------------------------


def test_a_new_job_passes_once_it_is_filled(shop: Shop, tmp_path: Path) -> None:
    file = tmp_path / "new.yaml"
    assert call("job", "new", file).code == 0
    text = file.read_text(encoding="utf-8")
    assert text == job_template(shop, date.today())
    code, error = refused("kit", file)
    assert code == 3
    assert [each["where"].split(", ")[1] for each in error["complaints"]] == ["job", "place", "plan.cam"]
    for empty, filled in (
        ('job: ""', "job: N1"),
        ('place: ""', "place: Mardle county"),
        ('cam: ""', "cam: B2"),
    ):
        assert text.count(f"{empty} ") == 1
        text = text.replace(empty, filled)
    text = re.sub(
        r"# mileage: \{value: , grade: , source: \}",
        "mileage: {value: 120000 km, grade: told, source: customer}",
        text,
    )
    file.write_text(text, encoding="utf-8")
    job = read_job(file, shop.knowledge)
    assert (job.id, job.place, job.plan.cam, job.date) == ("N1", "Mardle county", "B2", date.today())
    assert job.unknown == ("vin",)
    assert [(f.attribute, f.show(), f.grade) for f in job.facts] == [("mileage", "120000 km", Grade.told)]


def test_a_new_job_offers_every_attribute_and_every_choice_once(shop: Shop) -> None:
    text = call("job", "new").out
    for attribute in shop.knowledge.attributes.values():
        assert len(re.findall(rf"^  (?:# )?{attribute.id}: ", text, re.MULTILINE)) == 1, attribute.id
        assert attribute.ask in text
    assert "one of least, standard, best" in text
    assert "one of none, keep-full, keep-limited, remove" in text


def test_every_line_of_a_new_job_may_be_opened(shop: Shop) -> None:
    opened = re.sub(
        r"^(\s*)# (\s*[a-z0-9_-]+: (?:\{value|\"\"|\[\]|\{\}))", r"\1\2", call("job", "new").out, flags=re.M
    )
    data = yaml.safe_load(opened)
    assert set(data["facts"]) == set(shop.knowledge.attributes)
    assert {"cam", "phaser", "own_parts", "declined"} <= set(data["plan"])
    assert data["title"] == data["customer"] == ""


def test_a_new_job_never_writes_over_a_file(shop: Shop, tmp_path: Path) -> None:
    file = tmp_path / "mine.yaml"
    file.write_text("mine")
    code, error = refused("job", "new", file)
    assert code == 3
    assert (
        error["message"]
        == f"{file}: there is such a file already (read: mine.yaml); expected a new file name"
    )
    assert file.read_text() == "mine"


def test_a_new_job_as_data(shop: Shop, tmp_path: Path) -> None:
    assert call("job", "new", "--json").data == {"text": job_template(shop, date.today())}
    file = tmp_path / "a.yaml"
    assert call("job", "new", file, "--json").data == {"file": str(file)}


def test_an_act_that_does_not_exist(shop: Shop) -> None:
    code, error = refused("job", "nwe")
    assert code == 3
    assert "invalid choice: 'nwe' (choose from 'new')" in error["message"]
