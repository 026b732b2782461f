"""What each choice of a plan drags along, in brief, in full and as data."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from tappetry.services.shop import Shop
from tests.cli.calling import call, refused

pytestmark = pytest.mark.slow


def test_every_choice_stands_in_the_brief_list(shop: Shop, job: Path) -> None:
    said = call("drag", job).words
    assert "8,439.31 as it is planned" in said
    for words in (
        "the cam is B1 -434.40 -1.6 0 camshaft",
        "the phaser is removed -42.89 +0.3 0",
        "the heads stay on refused",
    ):
        assert words in said


def test_one_choice_is_told_in_full_there_and_back(shop: Shop, job: Path) -> None:
    said = call("drag", job, "phaser=remove").words
    there, back = said.split("And back, if the phaser stays with limited travel")
    assert "If the phaser is removed 42.89 less, 0.3 hours more, the same day" in there
    assert "cam sensor bracket: adds Sensor bracket for FC-2:" in there
    assert "42.89 more, 0.3 hours less, the same day" in back
    assert "cam sensor bracket: Sensor bracket for FC-2 goes -17.00" in back


def test_a_choice_that_is_refused_is_told_with_its_reason(shop: Shop, job: Path) -> None:
    assert "1. lifters must be renewed and cannot be reached with" in call("drag", job, "heads").words


def test_what_a_refused_choice_drags_along_stands_beneath_it(shop: Shop, job: Path) -> None:
    assert "the deactivation stays refused" in call("drag", job).words
    said = call("drag", job, "deact").words
    assert "If the deactivation stays and the cam is B1 156.64 less, 2.2 hours less, the same day" in said
    assert "And back, if the deactivation is removed and the cam is B2 156.64 more" in said
    (choice,) = call("drag", job, "deact", "--json").data["choices"]
    assert (choice["total"], choice["along"]["choice"], choice["along"]["total"]) == (None, "cam", "8282.67")


def test_the_data_hold_both_directions(shop: Shop, job: Path) -> None:
    data = call("drag", job, "phaser", "--json").data
    assert (data["job"], data["total"]) == ("J1", "8439.31")
    full, removed = data["choices"]
    assert (full["other"], full["total"], full["there"], full["back"]) == ("keep-full", None, None, None)
    assert full["error"]["kind"] == "refused"
    there, back = removed["there"], removed["back"]
    assert (
        Decimal(there["total"])
        == -Decimal(back["total"])
        == Decimal(removed["total"]) - Decimal(data["total"])
    )
    assert [line["part"] for line in there["lines"]] == [line["part"] for line in back["lines"]]
    assert [line["quantity"] for line in there["lines"]] == [line["quantity"][::-1] for line in back["lines"]]
    assert there["changes"][0]["hangs_on"] == {
        "kind": "plan",
        "name": "phaser",
        "member": "",
        "values": ["keep-limited", "remove"],
        "text": "the phaser is removed",
    }


def test_a_choice_that_the_engine_does_not_have_is_bad_input(shop: Shop) -> None:
    code, error = refused("drag", shop.jobs / "J3.yaml", "phaser")
    assert (code, error["where"]) == (3, "tappetry drag")
    assert error["complaints"][0]["value"] == "phaser"
