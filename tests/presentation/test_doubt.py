"""Bands and chances in words, in the table, on the quote and as data."""

from __future__ import annotations

import re
from dataclasses import replace
from io import StringIO

import pytest
from rich.text import Text

from tappetry.presentation import words
from tappetry.presentation.as_json import proof_data
from tappetry.presentation.charts.margins import margins
from tappetry.presentation.quote import quote_data
from tappetry.presentation.tables import console, doubt_note, proofs_table
from tappetry.records.verdict import Doubt, Narrowing, Proof, Share, Verdict
from tests.presentation.sample import quote

SHARE = Share(
    "engine.installed_height_in",
    "installed height",
    1.8,
    "in",
    0.01,
    0.01,
    "limits",
    "assumed",
    "common practice, no source",
    0.7,
)
DOUBT = Doubt(
    "first order",
    0.0061,
    (SHARE,),
    Narrowing("engine.installed_height_in", "Installed height", "height gauge", 0.007),
    assumed=True,
    estimate=True,
    exact=("engine.odd_in",),
)
PROOF = Proof(
    "solid", "spring is not solid", Verdict.PASS, "in", 0.165, 0.060, 0.105, 0.012, 0.0004, doubt=DOUBT
)


def printed(*proofs: Proof) -> str:
    file = StringIO()
    speaking = console(file, 120)
    speaking.print(proofs_table(proofs))
    speaking.print(doubt_note(proofs))
    return file.getvalue()


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.0, "under 1 in 1,000"),
        (0.00099, "under 1 in 1,000"),
        (0.001, "1 in 1,000"),
        (0.0098, "1 in 102"),
        (0.17, "1 in 6"),
        (0.5, "50 in 100"),
        (0.89, "89 in 100"),
        (0.999, "over 99 in 100"),
    ],
)
def test_a_chance_in_words(share: float, said: str) -> None:
    assert words.chance(share) == said


def test_a_proof_in_one_sentence() -> None:
    assert words.doubt(PROOF) == (
        "0.165 in, at least 0.060 in; ± 0.012 in, chance of failing under 1 in 1,000; "
        "measure the installed height to narrow it; an estimate until measured; on assumed spreads"
    )
    known = replace(DOUBT, assumed=False, estimate=False, measure=None)
    most = replace(PROOF, limit=0.3, margin=0.135, doubt=known)
    assert words.doubt(most) == ("0.165 in, at most 0.300 in; ± 0.012 in, chance of failing under 1 in 1,000")
    assert words.doubt(replace(PROOF, doubt=None)) == ""


@pytest.mark.parametrize(
    ("verdict", "share", "said"),
    [
        (Verdict.PASS, None, "passes"),
        (Verdict.PASS, 0.05, "passes"),
        (Verdict.PASS, 0.0501, "passes, in doubt"),
        (Verdict.PASS, 0.33, "passes, in doubt"),
        (Verdict.WARN, 0.33, "to watch"),
        (Verdict.STOP, 0.9, "stops the job"),
    ],
)
def test_what_passes_and_fails_more_than_once_in_twenty_is_in_doubt(
    verdict: Verdict, share: float | None, said: str
) -> None:
    proof = replace(PROOF, verdict=verdict, chance_of_failing=share)
    assert words.OUTCOMES[words.outcome(proof)] == said
    doubtful = said == "passes, in doubt"
    note = "Passes, in doubt: more than 1 in 20 such engines would miss the limit."
    assert (note in words.doubt_note([PROOF, proof])) == doubtful
    shown = quote_data(replace(quote(), kit=replace(quote().kit, proofs=(proof,)), proofs_shown=("other",)))
    told = [(each["outcome"], each["words"]) for each in shown["proofs"]]
    assert told == ([] if said == "passes" else [("DOUBT" if doubtful else verdict.value, said)])
    ((_, outcome, *_),) = margins([proof]).rows
    assert outcome == ("DOUBT" if doubtful else verdict.value)


def test_the_table_colours_what_is_in_doubt_as_what_is_to_watch() -> None:
    for share, colour in ((0.01, "green"), (0.33, "yellow")):
        table = proofs_table((replace(PROOF, chance_of_failing=share),))
        (cell,) = table.columns[-1].cells
        assert isinstance(cell, Text)
        assert cell.style == colour


def test_the_table_shows_band_and_chance() -> None:
    text = printed(PROOF)
    assert re.search(r"\+0\.105 in +passes", text)
    assert re.search(r"± 0\.012 in +<1/1000", text)
    assert "to narrow it" not in text
    assert "is assumed" in text
    assert "estimates until they are measured" in text


def test_the_table_names_the_measurement_where_the_outcome_is_open() -> None:
    text = printed(replace(PROOF, chance_of_failing=0.17))
    assert "1/6" in text
    assert "measure the installed height to narrow it" in " ".join(text.split())
    assert "to narrow it" not in printed(replace(PROOF, chance_of_failing=1.0))


def test_without_doubt_nothing_is_said_of_it() -> None:
    text = printed(replace(PROOF, doubt=None, band=None, chance_of_failing=None))
    assert "±" not in text
    assert "assumed" not in text


def test_the_quote_shows_band_chance_and_sentence() -> None:
    near = replace(PROOF, value=0.09, margin=0.03)
    data = quote_data(replace(quote(), kit=replace(quote().kit, proofs=(near,))))
    (proof,) = data["proofs"]
    assert (proof["band"], proof["chance"], proof["measure"]) == ("± 0.012 in", "fails under 1 in 1,000", "")
    assert proof["doubt"] == words.doubt(near)
    assert data["doubt_note"].startswith("Where nobody stated")
    bar = proof["bar"]
    assert bar["low"] < bar["value"] < bar["high"]


def test_the_data_hold_shares_and_what_they_rest_on() -> None:
    data = proof_data(PROOF)
    assert (data["band"], data["chance_of_failing"], data["in_doubt"]) == (0.012, 0.0004, False)
    assert proof_data(replace(PROOF, chance_of_failing=0.0501))["in_doubt"]
    assert not proof_data(replace(PROOF, chance_of_failing=0.9, verdict=Verdict.STOP))["in_doubt"]
    assert data["doubt_said"] == words.doubt(PROOF)
    doubt = data["doubt"]
    assert (doubt["method"], doubt["assumed"], doubt["estimate"]) == ("first order", True, True)
    assert doubt["measure"] == {
        "name": "engine.installed_height_in",
        "title": "Installed height",
        "tool": "height gauge",
        "band": 0.007,
    }
    (share,) = doubt["shares"]
    assert (share["plus"], share["means"], share["origin"], share["share"]) == (
        0.01,
        "limits",
        "assumed",
        0.7,
    )
    assert doubt["exact"] == ["engine.odd_in"]
    assert proof_data(replace(PROOF, doubt=None))["doubt"] is None
