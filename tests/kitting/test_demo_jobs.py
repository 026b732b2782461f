"""The jobs of the invented shop, line for line: parts, units, operations, hours and money.

The expected lists were worked out by hand with the demo data; they are invented like the rest of it.
"""

from __future__ import annotations

import json
from collections import Counter
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from tappetry.records.kit import Kit
from tappetry.services.kits import kit_for_file
from tests.kitting.support import demo

EXPECTED = json.loads((Path(__file__).parent / "data" / "expected.json").read_text(encoding="utf-8"))
JOBS = sorted(EXPECTED)


@cache
def kit_of(job: str) -> Kit:
    return kit_for_file(demo(), demo().jobs / f"{job}.yaml").kit


@pytest.mark.parametrize("job", JOBS)
def test_parts_and_units_are_those_of_the_list(job: str) -> None:
    expected = {line["part"]: line["quantity"] for line in EXPECTED[job]["lines"]}
    assert {line.part: line.quantity for line in kit_of(job).lines} == expected
    assert len(kit_of(job).lines) == len(EXPECTED[job]["lines"])


@pytest.mark.parametrize("job", JOBS)
def test_every_line_costs_what_the_list_says(job: str) -> None:
    expected = {line["part"]: Decimal(line["line_total"]) for line in EXPECTED[job]["lines"]}
    assert {line.part: line.line_total for line in kit_of(job).lines} == expected


@pytest.mark.parametrize("job", JOBS)
def test_operations_and_hours(job: str) -> None:
    kit = kit_of(job)
    assert [operation.code for operation in kit.operations] == EXPECTED[job]["operations"]
    assert sum(operation.hours for operation in kit.operations) == Decimal(EXPECTED[job]["hours"])
    assert kit.totals is not None
    assert kit.totals.hours == Decimal(EXPECTED[job]["hours"])


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("figure", ["parts", "parts_cost", "services", "labour", "supplies", "tax", "total"])
def test_totals_to_the_cent(job: str, figure: str) -> None:
    assert getattr(kit_of(job).totals, figure) == Decimal(EXPECTED[job]["totals"][figure])


@pytest.mark.parametrize("job", JOBS)
def test_margin_to_the_printed_digit(job: str) -> None:
    printed = Decimal(EXPECTED[job]["totals"]["margin_percent"])
    totals = kit_of(job).totals
    assert totals is not None
    assert abs(totals.margin_percent - printed) <= Decimal("0.05")


@pytest.mark.parametrize("job", JOBS)
def test_every_line_says_why_and_is_proved_the_best(job: str) -> None:
    kit = kit_of(job)
    assert kit.proved_optimal
    assert all(proved for _, _, proved in kit.stages)
    for line in kit.lines:
        kinds = Counter(because.kind for because in line.why)
        assert kinds["need"] >= 1, f"{line.part} names no need"
        assert kinds["pack"] == 1, f"{line.part} does not show its pieces"
        assert kinds["rule"] >= 1, f"{line.part} does not say why it is renewed"


@pytest.mark.parametrize("job", JOBS)
def test_nothing_is_open_but_what_was_not_known(job: str) -> None:
    kit = kit_of(job)
    hanging = {need for unknown in kit.unknowns for need in unknown.hangs_on_it}
    assert {kept.need for kept in kit.kept if kept.state == "open"} <= hanging


def test_every_reused_part_is_named_with_what_to_look_at() -> None:
    """A need that is met without buying says how: nothing is left out in silence."""
    for job in JOBS:
        kit = kit_of(job)
        silent = [kept.need for kept in kit.kept if kept.state != "none" and not kept.text]
        assert not silent, f"{job}: {silent} say nothing"
