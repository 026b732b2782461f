"""What the shop pays and earns is left out by the fields in which it stands, and words stay as they are."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from functools import partial
from typing import Any

import pytest

from tappetry.presentation.as_json import error_data, kit_data
from tappetry.presentation.compared import difference_data, side_data
from tappetry.presentation.differences import Teller
from tappetry.presentation.shops_side import FIELDS, without_shops_side
from tappetry.presentation.why_not import why_not_data
from tappetry.records.problems import Ground, Refusal, WayOut
from tappetry.services.differences import difference
from tappetry.services.kits import kit_for_file, kit_for_job
from tappetry.services.sides import Side, side
from tappetry.services.why import why_not
from tests.kitting.support import demo
from tests.presentation.sample import kit

#: What a field may be called that says what the shop pays or earns.
SUSPICIOUS = re.compile(r"cost|landed|margin_p|markup|profit")


def fields(value: Any) -> Iterator[str]:
    """The names of all fields of plain data."""
    if isinstance(value, dict):
        for name, each in value.items():
            yield name
            yield from fields(each)
    elif isinstance(value, list):
        for each in value:
            yield from fields(each)


@pytest.fixture(scope="module")
def told() -> list[dict[str, Any]]:
    """All that the program says of the kit of a job as plain data."""
    shop = demo()
    result = kit_for_file(shop, shop.jobs / "J3.yaml")
    now = Side("now", "now", result.job, result)
    then = side(
        partial(kit_for_job, shop), replace(result.job, plan=replace(result.job.plan, use="daily")), "then"
    )
    found = difference(shop.knowledge, now, then)
    assert found is not None
    teller = Teller(shop.knowledge, shop.catalogue.suppliers)
    need = result.kit.lines[0].needs[0].need
    every = [why_not_data(each) for each in why_not(shop, result, [need])]
    return [side_data(now), side_data(then), difference_data(found, teller), *every]


def test_every_field_of_what_the_shop_pays_is_known(told: list[dict[str, Any]]) -> None:
    found = {name for each in told for name in fields(each) if SUSPICIOUS.search(name)}
    assert {"unit_cost", "landed_cost", "parts_cost", "margin_percent", "markup_percent"} <= found
    assert found <= FIELDS
    kept = [without_shops_side(each) for each in told]
    assert not {name for each in kept for name in fields(each)} & FIELDS


def test_no_figure_that_it_pays_is_left_in_a_kit() -> None:
    data = kit_data(kit())
    data["stages"].append({"name": "suppliers", "value": 3, "proved": True})
    left = without_shops_side(data)
    cents = f"{kit().landed_cost.scaleb(2):f}".partition(".")[0]
    assert cents in json.dumps(data)
    assert cents not in json.dumps(left)
    assert [each["name"] for each in data["stages"]] == ["landed cost", "suppliers"]
    assert [each["name"] for each in left["stages"]] == ["suppliers"]
    assert left["totals"]["total"] == data["totals"]["total"]


def test_what_a_person_wrote_stays_word_for_word() -> None:
    said = {
        "note": "it landed in a ditch, at what cost?",
        "facts": {"noise": {"value": "margin_percent", "source": "landed cost of the haulier"}},
        "wishes": ["landed", {"name": "landed cost", "value": "as low as can be"}],
    }
    assert without_shops_side(said) == said


def test_a_way_out_is_told_by_what_the_customer_pays() -> None:
    way = WayOut("a later date: 2026-03-16", {"date": "2026-03-16"}, 1, Decimal("300.10"), Decimal("412.90"))
    bare = replace(way, text="another cam", total=None)
    refusal = Refusal("No kit.", [Ground("it is late", "a rule")], ["ask the owner"], tried=(way, bare))
    data = error_data(refusal)
    assert "landed cost 300.10" in data["error"]["ways_out"][0]
    left = without_shops_side(data)["error"]
    assert left["ways_out"] == [
        "a later date: 2026-03-16, total 412.90",
        "another cam",
        "ask the owner",
    ]
    assert "300.10" not in json.dumps(left)
    assert left["facts"] == data["error"]["facts"]
