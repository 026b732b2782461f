"""Terminal tables: complete at every width, plain without a terminal, no word cut off."""

from __future__ import annotations

import re
from io import StringIO

import pytest
from rich.console import RenderableType

from tappetry.cli.streams import show_problem
from tappetry.presentation.tables import (
    NARROWEST,
    WIDEST,
    console,
    kit_tables,
    operations_table,
    problem,
    proofs_table,
    totals_table,
)
from tappetry.records.problems import BadInput, Complaint, Ground, OurFault, Refusal, Where
from tests.presentation.sample import SAMPLE, kit


def printed(what: RenderableType, width: int = 100) -> str:
    file = StringIO()
    console(file, width).print(what)
    return file.getvalue()


@pytest.mark.parametrize("width", [NARROWEST, 100, WIDEST])
def test_tables_fit_their_width_and_cut_nothing(width: int) -> None:
    priced = kit()
    assert priced.totals is not None
    for table in (
        kit_tables(priced, SAMPLE["titles"]),
        proofs_table(priced.proofs),
        operations_table(priced),
        totals_table(priced.totals),
    ):
        text = printed(table, width)
        assert max(len(line) for line in text.splitlines()) <= width
        assert "…" not in text
        assert "\x1b" not in text


def test_a_console_is_never_narrower_or_wider_than_the_tables() -> None:
    assert [console(StringIO(), width).width for width in (20, 100, 400)] == [NARROWEST, 100, WIDEST]


def test_no_colour_where_none_is_wanted(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("FORCE_COLOR", "1")
    assert not re.search(r"\x1b\[[\d;]*3\dm", printed(proofs_table(kit().proofs)))


def test_every_line_of_the_kit_shows_part_supplier_and_total() -> None:
    text = printed(kit_tables(kit(), SAMPLE["titles"]), WIDEST)
    for line in kit().lines:
        assert re.search(rf"{re.escape(line.part)} +{line.supplier} .*{line.line_total:,.2f}", text)
    assert "HOLD: not to be fitted before the length is measured" in text
    assert "still open" in text


def test_a_proof_reads_as_bar_and_as_words() -> None:
    text = printed(proofs_table(kit().proofs), WIDEST)
    row = next(line for line in text.splitlines() if line.startswith(" Exhaust valve to piston"))
    assert re.search(r"----\|=+o-+ +0\.143 in +0\.100 in +\+0\.043 in +passes", row)
    assert re.search(r"WARN", text)
    assert re.search(r"UNKNOWN", text)


def test_the_totals_show_both_margin_and_markup() -> None:
    totals = kit().totals
    assert totals is not None
    text = printed(totals_table(totals))
    assert re.search(r"total USD +8,439\.31", text)
    assert re.search(r"margin on parts +35\.3 %", text)
    assert re.search(r"markup on parts +54\.6 %", text)


def test_the_hours_add_up_under_the_operations() -> None:
    assert re.search(r"all +34\.4", printed(operations_table(kit())))


def test_a_refusal_shows_grounds_owners_arithmetic_and_ways_out() -> None:
    text = printed(
        problem(
            Refusal(
                "No kit satisfies job J-1.",
                [Ground("you pinned spring SP-31", "job J-1")],
                ["release SP-31"],
                "45.00 - 14.73 - 29.50 = 0.77 mm: short by 0.73 mm",
            )
        )
    )
    assert re.search(r"1\. +you pinned spring SP-31 +job J-1", text)
    assert "short by 0.73 mm" in text
    assert "  - release SP-31" in text


def test_other_errors_are_told_as_they_are_however_long_their_words(
    capsys: pytest.CaptureFixture[str],
) -> None:
    complaint = Complaint(
        Where("a-long-name/" * 20 + "job.yaml", 4, "plan.cam"), "no such cam", "B9", "B1, B2"
    )
    for error in (BadInput([complaint]), OurFault(f"no file {'very-' * 40}far")):
        show_problem(error)
        assert capsys.readouterr().err == f"{error}\n"


def test_brackets_in_the_data_are_printed_and_not_obeyed() -> None:
    error = Refusal("kept [bold]as written[/bold]", [Ground("a [red]fact[/red]", "job [J1]")])
    text = printed(problem(error))
    assert "kept [bold]as written[/bold]" in text
    assert "a [red]fact[/red]" in text
