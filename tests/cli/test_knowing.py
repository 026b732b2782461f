"""Commands about what is known: identify, audit, schema, and the whole demo."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from tappetry.services.shop import Shop
from tappetry.services.trials import trials
from tests.cli.calling import call, refused

VIN = "9ZZT1L4CX7H203311"


# --- identify ------------------------------------------------------------------------------------------


def test_a_vin_and_a_casting_identify_an_engine(shop: Shop) -> None:
    data = call("identify", "--vin", VIN, "--casting", "4417-B", "--json").data
    assert data["application"] == "A03"
    assert data["verdict"] == (
        "agrees with the VIN; head bolt class HB-B by block casting 4417-B, not by year"
    )
    assert data["agreement"]["disagrees"] == []
    assert [each["what"] for each in data["agreement"]["agrees"]][-1] == "block casting 4417-B fits"
    assert data["unknowns"]
    assert {"attribute", "question", "see", "hangs_on_it"} == set(data["next_question"])
    facts = {each["attribute"]: each for each in data["engine_as_found"]["facts"]}
    assert facts["block-casting"]["grade"] == "seen"
    assert facts["head-bolt-class"]["value"] == "HB-B"


def test_a_person_sees_verdict_and_question(shop: Shop) -> None:
    said = call("identify", "--vin", VIN, "--casting", "block-casting=4417-A")
    assert "head bolt class HB-A by block casting 4417-A, not by year" in said.words
    assert "Ask next" in said.out


def test_facts_with_grades_and_a_job_add_up(shop: Shop, job: Path) -> None:
    data = call("identify", job, "--fact", "block-casting=4417-A@measured", "--json").data
    disagreement = next(each for each in data["disagreements"] if each["attribute"] == "block-casting")
    assert [(fact["value"], fact["grade"]) for fact in disagreement["facts"]] == [
        ("4417-A", "measured"),
        ("5128-D", "seen"),
    ]
    said = call("identify", job, "--fact", "block-casting=4417-A@measured")
    assert "Sources that disagree; the first is in charge" in said.words


def test_a_fact_without_a_grade_is_told(shop: Shop) -> None:
    data = call("identify", "--fact", "mileage=92,000 km", "--json").data
    fact = next(each for each in data["engine_as_found"]["facts"] if each["attribute"] == "mileage")
    assert (fact["value"], fact["unit"], fact["grade"]) == (92000.0, "km", "told")
    assert fact["as_read"] == "92,000 km"


def test_all_that_is_wrong_with_the_facts_is_told_at_once(shop: Shop) -> None:
    said = call(
        "identify", "--fact", "bores=3", "--fact", "bore=3 mm", "--fact", "bore", "--fact", "bore=9@no"
    )
    assert said.code == 3
    assert said.err.splitlines() == [
        "fact: there is no such attribute; did you mean bore? (read: bores)",
        "fact: bore = 3 mm is outside 50..150 mm (read: 3 mm)",
        "fact: a fact cannot be read (read: bore); expected attribute=value or attribute=value@grade",
        "fact: there is no such grade (read: no); expected one of assumed, told, decoded, seen, measured",
    ]


def test_nothing_stated_is_bad_input(shop: Shop) -> None:
    code, error = refused("identify")
    assert code == 3
    assert error["message"] == (
        "tappetry identify: nothing is stated; expected --vin, --casting, --fact or a job"
    )


def test_the_shops_vehicles_come_out_as_stated(shop: Shop) -> None:
    tried = trials(shop)
    assert len(tried) == 10
    assert [each.failures() for each in tried] == [()] * 10


def test_a_vehicle_that_comes_out_otherwise_is_told(shop: Shop) -> None:
    trial = replace(trials(shop)[0], application="A99", engine="", verdict=("is a boat",))
    assert trial.failures() == (
        "application by the papers is A01, not A99",
        "application of the engine is A01, not open",
        "not said: is a boat",
    )


# --- audit ---------------------------------------------------------------------------------------------


def test_the_invented_shop_has_no_mistake(shop: Shop) -> None:
    data = call("audit", "--json").data
    assert data["folder"] == str(shop.folder)
    assert (data["mistakes"], call("audit", shop.folder).code) == (0, 0)
    assert data["notes"] == len(data["findings"])


def test_a_mistake_is_named_by_file_and_line(shop: Shop, tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    shutil.copytree(shop.folder, folder)
    file = folder / "needs" / "2-valve-train.yaml"
    lines = file.read_text(encoding="utf-8").splitlines()
    line = next(n for n, text in enumerate(lines) if "engine.lifter_body_mm" in text)
    lines[line] = lines[line].replace("engine.lifter_body_mm", "engine.lifter_bodi_mm")
    file.write_text("\n".join(lines), encoding="utf-8")
    said = call("audit", folder, "--json")
    assert said.code == 3
    mistakes = [each for each in said.data["findings"] if each["kind"] != "note"]
    assert said.data["mistakes"] == len(mistakes) > 0
    assert (mistakes[0]["file"], mistakes[0]["line"]) == ("needs/2-valve-train.yaml", line + 1)
    assert {"kind", "file", "line", "field", "value", "expected", "message"} == set(mistakes[0])
    assert f"needs/2-valve-train.yaml:{line + 1}" in call("audit", folder).out


def test_a_folder_that_is_no_shop(tmp_path: Path) -> None:
    code, error = refused("audit", tmp_path)
    assert code == 3
    assert "the folder holds no shop" in error["message"]


# --- schema --------------------------------------------------------------------------------------------


def test_a_schema_is_printed_and_is_one() -> None:
    names = call("schema").out.split()
    assert "job" in names
    assert call("schema", "--json").data == {"schemas": names}
    for name in names:
        schema = call("schema", name).data
        Draft202012Validator.check_schema(schema)
        assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
        assert schema["title"]
        assert call("schema", name, "--json").data == schema


def test_unknown_schema_names_the_closest() -> None:
    said = call("schema", "jobb")
    assert said.code == 3
    assert said.err.startswith("schema: there is no such schema; did you mean job? (read: jobb)")


# --- demo ----------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_the_demo_works_every_job_and_says_where_things_are(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("TAPPETRY_HOME", str(tmp_path / "home"))
    out = tmp_path / "out"
    said = call("demo", "--out", out)
    assert said.code == 0
    jobs = sorted((tmp_path / "home" / "jobs").glob("*.yaml"))
    assert jobs
    for job in jobs:
        assert (out / f"{job.stem}-quote.pdf").read_bytes().startswith(b"%PDF-")
        kit = json.loads((out / f"{job.stem}-kit.json").read_text(encoding="utf-8"))
        assert f"ok the kit of {job.name}: {len(kit['lines'])} lines" in said.err
        assert f"{kit['totals']['total'][-6:]}" in said.out
        assert json.loads((out / f"{job.stem}-proofs.json").read_text(encoding="utf-8"))["proofs"]
    assert "ok vehicles identified: 10 of 10 as stated in vehicles.yaml" in said.err
    assert f"{tmp_path / 'home' / 'jobs'}/" in said.out
    assert f"TAPPETRY_HOME={tmp_path / 'home'} tappetry kit {jobs[0]}\n" in said.out
    dear, *jobs = jobs
    dear.unlink()  # as a person may: it is not brought back
    for job in jobs[2:]:
        job.unlink()
    jobs = jobs[:2]
    again = call("demo", "--out", out, "--json")
    assert "is there already and stays as it is" in again.err
    assert again.data["jobs_folder"] == str(tmp_path / "home" / "jobs")
    assert [each["job"] for each in again.data["jobs"]] == [job.stem for job in jobs]
    assert all(Path(path).is_file() for each in again.data["jobs"] for path in each["papers"])


@pytest.mark.slow
def test_the_demo_never_goes_among_real_data(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    from tappetry.services.shop import make_demo_shop

    monkeypatch.delenv("TAPPETRY_HOME", raising=False)
    for file in make_demo_shop(tmp_path / "demo-home").jobs.glob("*.yaml"):
        if file.stem != "J3":
            file.unlink()
    data = call("demo", "--out", tmp_path, "--json").data
    assert data["home"] == str(tmp_path / "demo-home")


@pytest.mark.slow
def test_a_refused_job_does_not_stop_the_demo(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    home = tmp_path / "home"
    monkeypatch.setenv("TAPPETRY_HOME", str(home))
    from tappetry.services.shop import make_demo_shop

    jobs = make_demo_shop(home).jobs
    for file in jobs.glob("*.yaml"):
        text = file.read_text(encoding="utf-8")
        file.unlink()
    (jobs / "X.yaml").write_text(text.replace("place: Mardle county", "place: Nowhere"), encoding="utf-8")
    said = call("demo", "--out", tmp_path / "out")
    assert said.code == 2
    assert "there is no dated legal note for Nowhere" in said.words
    assert "cannot be quoted." in said.out
