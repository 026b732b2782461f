"""Kits side by side: packages, plans, and what each day costs."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from tappetry.services.shop import Shop
from tests.cli.calling import call, refused

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def packages(shop: Shop, job: Path) -> dict[str, Any]:
    """The three packages of the job as a script reads them."""
    data: dict[str, Any] = call("compare", job, "--json").data
    return data


def test_the_packages_stand_side_by_side_in_the_order_of_the_house_book(packages: dict[str, Any]) -> None:
    assert [side["name"] for side in packages["sides"]] == ["least", "standard", "best"]
    pairs = [(each["from"], each["to"]) for each in packages["differences"]]
    assert pairs == [("least", "standard"), ("standard", "best")]


def test_a_difference_adds_up_to_the_change_of_the_total(packages: dict[str, Any]) -> None:
    totals = {side["name"]: Decimal(side["kit"]["totals"]["total"]) for side in packages["sides"]}
    for each in packages["differences"]:
        assert Decimal(each["total"]) == totals[each["to"]] - totals[each["from"]]
        old, new = (
            sum(Decimal(figures[side]) for name, figures in each["money"].items() if name != "total")
            for side in (0, 1)
        )
        assert (old, new) == (totals[each["from"]], totals[each["to"]])


def test_the_lines_and_hours_of_a_difference_explain_it(packages: dict[str, Any]) -> None:
    kits = {side["name"]: side["kit"] for side in packages["sides"]}
    for each in packages["differences"]:
        parts = sum(Decimal(line["difference"]) for line in each["lines"])
        before, after = kits[each["from"]]["totals"], kits[each["to"]]["totals"]
        bought = {key: Decimal(after[key]) - Decimal(before[key]) for key in ("parts", "services")}
        assert parts == bought["parts"] + bought["services"]
        assert parts == sum(Decimal(change["difference"]) for change in each["changes"])
        assert each["hours"] == pytest.approx(after["hours"] - before["hours"])


def test_lines_added_to_the_old_side_give_the_new_one(packages: dict[str, Any]) -> None:
    sides = {side["name"]: side["kit"]["lines"] for side in packages["sides"]}
    for each in packages["differences"]:
        quantities = {(line["supplier"], line["part"]): line["quantity"] for line in sides[each["from"]]}
        for line in each["lines"]:
            quantities[line["supplier"], line["part"]] = line["quantity"][1]
        kept = {key: count for key, count in quantities.items() if count}
        assert kept == {(line["supplier"], line["part"]): line["quantity"] for line in sides[each["to"]]}


def test_the_packages_are_told_in_words(shop: Shop, job: Path) -> None:
    said = call("compare", job).words
    assert "From shop standard to no compromise: 581.72 more, the same hours, the same day" in said
    assert "adds Valley cover bolts M8x20, set of 13 in place of the old one, +16.00 because" in said
    assert "Reused in each: rocker arms" in said
    assert "Besides, in shop standard: phaser magnet, knock sensors and cam sensor." in said


def test_two_jobs_are_set_beside_each_other(shop: Shop, job: Path, tmp_path: Path) -> None:
    other = tmp_path / "milder.yaml"
    text = job.read_text(encoding="utf-8")
    other.write_text(text.replace("job: J1", "job: J1-B1").replace("cam: B2", "cam: B1"), encoding="utf-8")

    data = call("compare", job, other, "--json").data

    assert [side["name"] for side in data["sides"]] == ["J1", "J1-B1"]
    changed = {line["part"] for line in data["differences"][0]["lines"]}
    assert len(changed) > 1
    assert "From J1 to J1-B1" in call("compare", job, other).out


def test_what_if_is_the_same_as_a_job_that_says_so(shop: Shop, job: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.yaml"
    text = job.read_text(encoding="utf-8")
    other.write_text(text.replace("phaser: keep-limited", "phaser: remove"), encoding="utf-8")

    typed = call("compare", job, "--with", "phaser=remove", "--json").data
    written = call("compare", job, other, "--json").data

    assert [side["name"] for side in typed["sides"]] == ["J1", "phaser=remove"]
    assert typed["sides"][1]["kit"] == written["sides"][1]["kit"]
    assert typed["differences"][0]["changes"] == written["differences"][0]["changes"]


def test_each_with_is_a_plan_of_its_own_against_the_job(shop: Shop, job: Path) -> None:
    data = call("compare", job, "--with", "phaser=remove", "cam=B1", "--with", "cam=B1", "--json").data
    assert [side["name"] for side in data["sides"]] == ["J1", "phaser=remove cam=B1", "cam=B1"]
    assert [(each["from"], each["to"]) for each in data["differences"]] == [
        ("J1", "phaser=remove cam=B1"),
        ("J1", "cam=B1"),
    ]


def test_a_plan_that_is_refused_stands_beside_the_other_with_its_refusal(shop: Shop, job: Path) -> None:
    said = call("compare", job, "--with", "phaser=keep-full", "--json")
    side = said.data["sides"][1]
    assert said.code == 0
    assert side["kit"] is None
    assert side["error"]["kind"] == "refused"
    assert said.data["differences"] == []
    assert "the piston" in call("compare", job, "--with", "phaser=keep-full").words


def test_a_change_that_cannot_be_read_is_bad_input(shop: Shop, job: Path) -> None:
    code, error = refused("compare", job, "--with", "phaser=romove")
    assert (code, error["kind"]) == (3, "bad-input")
    assert error["complaints"][0]["expected"] == "one of none, keep-full, keep-limited, remove"


# ---- days ------------------------------------------------------------------------------------------------


def test_the_days_of_a_job_end_where_something_cannot_come_earlier(shop: Shop, job: Path) -> None:
    data = call("compare", job, "--days", "--json").data
    (point,) = data["points"]
    assert (point["latest_days"], point["day"], point["total"]) == (10, "2026-03-16", "8439.31")
    assert point["proved_optimal"] is True
    assert point["step"] is None
    assert data["no_earlier"]["kind"] == "refused"
    said = call("compare", job, "--days").words
    assert "10 working days 16 March 2026 8,439.31 2,703.20 yes" in said
    assert "Why nothing is here earlier" in said


def test_days_are_for_one_job(shop: Shop, job: Path) -> None:
    code, error = refused("compare", job, job, "--days")
    assert (code, error["where"]) == (3, "--days")
