"""Plain data: the promised names, money as decimal text, numbers that JSON can hold."""

from __future__ import annotations

import json
import re
from dataclasses import replace

from tappetry.presentation.as_json import error_data, kit_data, proof_data
from tappetry.records.kit import Kit
from tappetry.records.problems import Ground, Refusal
from tappetry.records.verdict import Proof, Verdict
from tests.presentation.sample import kit

MONEY = re.compile(r"-?\d+\.\d\d")


def test_the_kit_has_the_names_that_scripts_rely_on() -> None:
    data = kit_data(kit())
    assert {"lines", "operations", "totals", "proofs", "unknowns", "left_over"} <= set(data)
    assert {"part", "supplier", "quantity", "unit", "unit_price", "line_total", "needs", "why"} <= set(
        data["lines"][0]
    )
    assert {"code", "hours"} <= set(data["operations"][0])
    assert {"kept", "declined", "findings", "holds", "versions", "legal_note", "cautions"} <= set(data)
    assert {
        "id",
        "value",
        "limit",
        "margin",
        "unit",
        "verdict",
        "band",
        "chance_of_failing",
        "source",
        "inputs",
    } <= set(data["proofs"][0])
    assert {"name", "value", "unit", "provenance"} == set(data["proofs"][0]["inputs"][0])


def test_the_totals_are_decimal_texts() -> None:
    totals = kit_data(kit())["totals"]
    assert {name: totals[name] for name in ("parts", "services", "labour", "supplies", "tax", "total")} == {
        "parts": "3240.20",
        "services": "840.00",
        "labour": "4059.20",
        "supplies": "65.00",
        "tax": "234.91",
        "total": "8439.31",
    }
    assert (totals["hours"], totals["margin_percent"], totals["currency"]) == (34.4, 35.3, "USD")


def test_all_money_has_two_digits() -> None:
    data = kit_data(kit())
    for line in data["lines"]:
        for name in ("unit_price", "line_total", "unit_cost", "core_charge"):
            assert MONEY.fullmatch(line[name])
    assert [kept["allowance"] for kept in data["kept"] if kept["allowance"]] == ["86.00", "34.00"]


def test_the_data_survives_a_round_through_strict_json() -> None:
    data = kit_data(kit())
    assert json.loads(json.dumps(data, allow_nan=False)) == data


def test_what_is_not_known_or_not_finite_is_null() -> None:
    proof = Proof("p", "t", Verdict.UNKNOWN, "in", value=None, limit=float("inf"), margin=float("nan"))
    data = proof_data(proof)
    assert (data["value"], data["limit"], data["margin"], data["verdict"]) == (None, None, None, "UNKNOWN")


def test_an_unpriced_kit_has_no_totals() -> None:
    assert kit_data(replace(kit(), totals=None))["totals"] is None
    assert kit_data(Kit("J0"))["lines"] == []


def test_holds_are_listed_with_their_part() -> None:
    assert kit_data(kit())["holds"] == [
        {"part": "BT-8425-16", "hold": "not to be fitted before the length is measured on this engine"}
    ]


def test_a_refusal_is_one_object() -> None:
    data = error_data(Refusal("no kit", [Ground("pinned", "job")], ["unpin"]))["error"]
    assert (data["kind"], data["message"], data["ways_out"]) == ("refused", "no kit", ["unpin"])
    assert data["facts"] == [{"text": "pinned", "owner": "job", "source": ""}]
