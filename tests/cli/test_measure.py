"""`measure`: proofs before and after a measurement, and the lines that change, in words and as data."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.calling import call, refused

pytestmark = pytest.mark.slow

SOLID = "valve_springs.solid_in=1.180 in ±0.002"


def test_proofs_and_lines_are_told(job: Path) -> None:
    said = call("measure", job, SOLID)
    assert said.code == 0
    assert "as stated" in said.out
    assert "stops the job" in said.out
    assert "Lines change: " in said.words
    assert "valve springs" in said.words


def test_where_no_line_changes_that_is_said(job: Path) -> None:
    said = call("measure", job, "installed-height=1.801 in ±0.002")
    assert said.code == 0
    assert "No line changes." in said.words


def test_as_data(job: Path) -> None:
    data = call("measure", job, SOLID, "--json").data
    assert set(data) == {"job", "proofs", "refusal", "lines_change", "difference", "versions"}
    (solid,) = [each for each in data["proofs"] if each["id"] == "spring-not-solid"]
    assert (solid["from"]["verdict"], solid["to"]["verdict"]) == ("pass", "STOP")
    assert solid["to"]["chance_of_failing"] > 0.5 > solid["from"]["chance_of_failing"]
    assert data["lines_change"] is True
    assert data["refusal"] is None
    assert data["difference"]["lines"]


def test_a_reading_that_cannot_be_used_is_bad_input(job: Path) -> None:
    code, error = refused("measure", job, "instaled-height=1.8 in")
    assert code == 3
    assert error["where"] == "tappetry measure"
    assert "did you mean installed-height?" in error["message"]


def test_a_measurement_with_which_nothing_can_be_worked_out_is_bad_input(job: Path) -> None:
    """At three inches no spring is compressed."""
    code, error = refused("measure", job, "installed-height=3 in")
    assert (code, error["where"]) == (3, "the engine with its parts")
    assert (
        "train parts at the nose cannot be worked out: open load = -668.25 N must be above 0"
        in error["message"]
    )
