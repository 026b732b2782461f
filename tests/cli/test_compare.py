"""Kits side by side: the packages of a job, and two plans."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from tappetry.services.shop import Shop
from tests.cli.calling import call

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def packages(shop: Shop, job: Path) -> dict[str, Any]:
    """The three packages of the job as a script reads them."""
    data: dict[str, Any] = call("compare", job, "--json").data
    return data


def test_the_packages_stand_side_by_side_in_the_order_of_the_house_book(packages: dict[str, Any]) -> None:
    assert [side["name"] for side in packages["sides"]] == ["least", "standard", "best"]


def test_a_difference_adds_up_to_the_change_of_the_total(packages: dict[str, Any]) -> None:
    totals = [Decimal(side["kit"]["totals"]["total"]) for side in packages["sides"]]
    for each, total in zip(packages["differences"], totals[1:], strict=True):
        assert Decimal(each["total"]) == total - totals[0]


def test_the_lines_and_hours_of_a_difference_explain_it(packages: dict[str, Any]) -> None:
    least, *others = packages["sides"]
    for each, other in zip(packages["differences"], others, strict=True):
        parts = sum(Decimal(line["difference"]) for line in each["lines"])
        before, after = least["kit"]["totals"], other["kit"]["totals"]
        bought = {key: Decimal(after[key]) - Decimal(before[key]) for key in ("parts", "services")}
        assert parts == bought["parts"] + bought["services"]
        assert each["hours"] == pytest.approx(after["hours"] - before["hours"])


def test_two_plans_are_set_beside_each_other(shop: Shop, job: Path, tmp_path: Path) -> None:
    other = tmp_path / "milder.yaml"
    text = job.read_text(encoding="utf-8")
    other.write_text(text.replace("job: J1", "job: J1-B1").replace("cam: B2", "cam: B1"), encoding="utf-8")

    data = call("compare", job, other, "--json").data

    assert [side["name"] for side in data["sides"]] == ["J1", "J1-B1"]
    changed = {line["part"] for line in data["differences"][0]["lines"]}
    assert len(changed) > 1
    assert "From" in call("compare", job, other).out


def test_a_plan_that_is_refused_stands_beside_the_other_with_its_refusal(
    shop: Shop, job: Path, tmp_path: Path
) -> None:
    other = tmp_path / "full.yaml"
    text = job.read_text(encoding="utf-8")
    other.write_text(text.replace("phaser: keep-limited", "phaser: keep-full"), encoding="utf-8")

    data = call("compare", job, other, "--json").data

    assert data["sides"][1]["kit"] is None
    assert data["sides"][1]["error"]["kind"] == "refused"
    assert data["differences"] == []
