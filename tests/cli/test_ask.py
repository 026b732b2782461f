"""What to ask next, on the command line: the question, why, how to answer it; what is safe; what waits."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from tappetry.services.shop import Shop
from tests.cli.calling import Said, call, refused

pytestmark = pytest.mark.slow

DROPPED = ("mileage", "age", "four-wheel-drive")


def job_without(job: Path, folder: Path, *facts: str) -> Path:
    """The job with some facts said to be unknown."""
    text = job.read_text(encoding="utf-8")
    for fact in facts:
        text = re.sub(rf"^  {fact}: .*$", f"  {fact}: unknown", text, flags=re.MULTILINE)
    file = folder / "job.yaml"
    file.write_text(text, encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def doubtful(job: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return job_without(job, tmp_path_factory.mktemp("jobs"), *DROPPED)


@pytest.fixture(scope="module")
def said(shop: Shop, doubtful: Path) -> Said:
    return call("ask", doubtful)


@pytest.fixture(scope="module")
def data(shop: Shop, doubtful: Path) -> dict[str, Any]:
    found: dict[str, Any] = call("ask", doubtful, "--json").data
    return found


def test_the_next_question_is_told_with_reason_and_way(said: Said) -> None:
    assert said.code == 0
    asked, then = said.words.split("Then ")[:2]
    for words in ("Ask next", "How far has it run", "an answer settles on average", "photo: the odometer"):
        assert words in asked
    assert "nobody could say so far" in asked
    assert "Is it four-wheel drive?" in then


def test_the_answers_stand_beneath_the_question(said: Said) -> None:
    for words in (
        "under 120000 km 33% 8,204.44 to 8,499.44 - 1 x LX-3150 - 2 x MO-9120666",
        "120000 to 160000 km 50% 8,439.31 to 8,734.31 + 1 x LX-3150 - 2 x MO-9120666",
        "over 160000 km 17% 8,533.69 to 8,828.69 + 1 x LX-3150 + 2 x MO-9120666",
    ):
        assert words in said.words


def test_what_is_safe_and_what_waits_stand_apart(said: Said) -> None:
    safe, waiting = said.words.split("May be ordered now")[1].split("Waits ")
    assert "2 PSG PG-101-130 head gaskets" in safe
    assert "LX-3150" not in safe
    assert "0 or 1 LOX LX-3150 cam phaser" in waiting
    assert "cam phaser is seen" in waiting


def test_what_no_longer_matters_and_the_range_are_told(said: Said) -> None:
    assert "Unknown, and no longer matters: age" in said.words
    assert "hours 34.4 to 36.9" in said.words
    assert "24 cases tried" in said.words
    assert "all cases that the tables leave count alike" in said.words


def test_the_data_say_the_same(data: dict[str, Any]) -> None:
    first = data["next_question"]
    assert first == data["questions"][0]
    assert (first["attribute"], first["kind"], first["photo"]) == ("mileage", "unknown", "the odometer")
    assert first["said_unknown"]
    assert first["settles"]["lines"] > 0
    assert first["answers"][0]["answer"] == "under 120000 km"
    assert sum(answer["share"] for answer in first["answers"]) == pytest.approx(1, abs=0.001)
    least, most = map(float, data["range"]["total"])
    assert least < most
    assert data["no_longer_matters"] == ["age"]
    assert {"part", "supplier", "quantity"} <= set(data["order_now"][0])
    phaser = next(each for each in data["waits"] if each["part"] == "LX-3150")
    assert (phaser["for_answers"], phaser["for_evidence"]["phaser-hardware"]) == (["mileage"], "seen")
    assert data["cases"]["exhausted"]
    assert data["cases"]["kits_solved"] <= data["cases"]["count"] + 1
    assert set(data["versions"]) == {"knowledge", "catalogue"}


def test_a_cap_is_told(shop: Shop, doubtful: Path) -> None:
    said = call("ask", doubtful, "--kits", "3")
    assert said.code == 0
    assert "Not all was tried" in said.words
    assert "May be ordered now" not in said.words
    cases = call("ask", doubtful, "--kits", "3", "--json").data["cases"]
    assert not cases["exhausted"]
    assert cases["untried_share"] > 0


def test_a_cap_below_one_is_bad_input(shop: Shop, doubtful: Path) -> None:
    code, error = refused("ask", doubtful, "--kits", "0")
    assert (code, error["kind"]) == (3, "bad-input")


def test_a_job_without_unknown_facts_has_its_evidence_to_ask_for(shop: Shop, job: Path) -> None:
    said = call("ask", job).words
    assert "127 percent is only decoded, it must be seen before the order; that releases 1 of 4 lines" in said
    assert "cases tried" not in said


def test_a_plan_that_no_answer_mends_is_refused(shop: Shop, doubtful: Path, tmp_path: Path) -> None:
    file = tmp_path / "job.yaml"
    text = doubtful.read_text(encoding="utf-8").replace("phaser: keep-limited", "phaser: none")
    file.write_text(text, encoding="utf-8")
    code, error = refused("ask", file)
    assert (code, error["kind"]) == (2, "refused")
