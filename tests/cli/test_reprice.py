"""An old quote opened again: does it stand, what costs another price, and what replaces what is gone."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tappetry.services.shop import Shop, make_demo_shop
from tests.cli.calling import call, refused

pytestmark = pytest.mark.slow

#: The cam's row of the price list, its cost and price, and both as they are some weeks later.
CAM = "HV-2052-1N"
THEN, NOW = "325.00,459.00", "348.00,489.00"


@pytest.fixture(scope="module")
def kept(job: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What was printed for the quote on its day."""
    file = tmp_path_factory.mktemp("kept") / "J1.json"
    file.write_text(call("kit", job, "--json").out, encoding="utf-8")
    return file


@pytest.fixture
def later(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """The same shop after the cam's price has risen."""
    shop = make_demo_shop(tmp_path / "shop")
    change(shop, THEN, NOW)
    monkeypatch.setenv("TAPPETRY_HOME", str(shop.folder))
    return shop


def change(shop: Shop, old: str, new: str) -> None:
    """Change the cam's row."""
    file = shop.folder / "parts.csv"
    lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
    place = next(n for n, line in enumerate(lines) if line.startswith(f"{CAM},"))
    assert old in lines[place]
    lines[place] = lines[place].replace(old, new)
    file.write_text("".join(lines), encoding="utf-8")


def test_an_expired_quote_is_priced_again_with_what_changed(kept: Path, later: Shop) -> None:
    data = call("reprice", kept, "--on", "2026-03-22", "--json").data
    assert (data["quoted"], data["valid_until"], data["stands"]) == ("2026-03-02", "2026-03-16", False)
    (line,) = data["lines"]
    assert (line["part"], line["unit_cost"], line["cost_difference"]) == (CAM, ["325.00", "348.00"], "23.00")
    assert (line["unit_price"], line["difference"]) == (["459.00", "489.00"], "30.00")
    assert data["cost_difference"] == "23.00"
    # 30.00 and its tax of 7.25 %: 234.91 becomes 237.09
    assert data["difference"] == "32.18"
    assert (data["totals"]["old"]["total"], data["totals"]["new"]["total"]) == ("8439.31", "8471.49")
    old, new = data["versions"]["old"], data["versions"]["new"]
    assert old["knowledge"] == new["knowledge"]
    assert old["catalogue"] != new["catalogue"]


@pytest.mark.parametrize(
    ("day", "stands"), [("2026-03-02", True), ("2026-03-16", True), ("2026-03-17", False)]
)
def test_a_quote_stands_to_the_end_of_its_last_day(kept: Path, later: Shop, day: str, stands: bool) -> None:
    said = call("reprice", kept, "--on", day)
    assert said.code == 0
    assert ("it stands as it is" in said.words) == stands
    assert ("it is priced again before it is accepted" in said.words) != stands
    assert "+23.00" in said.words


def test_where_no_price_has_changed_it_says_so(kept: Path, shop: Shop) -> None:
    said = call("reprice", kept, "--on", "2026-03-22")
    assert "No price has changed." in said.words
    assert "+0.00" in said.words


def test_a_part_that_is_gone_is_refused_with_what_replaces_it(kept: Path, later: Shop) -> None:
    change(later, ",active,,", ",superseded,HV-2052-3N,")
    code, error = refused("reprice", kept, "--on", "2026-03-22")
    assert code == 2
    assert error["message"] == "The kit cannot be priced again as it stands."
    assert [fact["text"] for fact in error["facts"]] == [
        f"{CAM} (B2 Lamplight cam, single-bolt nose) is on no list any more"
    ]
    assert f"HV-2052-3N at 459.00 takes the place of {CAM}" in error["ways_out"]


@pytest.mark.parametrize(
    ("text", "message", "value"),
    [
        ("no json", "the file is not JSON", "old.json"),
        ("{}", "the file holds no kit", "nothing of date"),
        ('{"date": "2026-03-02", "lines": []}', "the file holds no kit", "nothing of versions"),
        ('{"date": "yesterday"}', "the file holds no kit", "JSON of another kind"),
    ],
)
def test_a_file_that_is_no_kit_is_bad_input(
    shop: Shop, tmp_path: Path, text: str, message: str, value: str
) -> None:
    file = tmp_path / "old.json"
    file.write_text(text, encoding="utf-8")
    code, error = refused("reprice", file, "--on", "2026-03-22")
    assert code == 3
    (complaint,) = error["complaints"]
    assert (complaint["where"], complaint["message"], complaint["value"]) == ("old.json", message, value)
    assert "tappetry kit JOB --json" in complaint["expected"]


def test_a_quote_of_a_later_day_is_bad_input(kept: Path, shop: Shop) -> None:
    code, error = refused("reprice", kept, "--on", "2026-03-01")
    assert code == 3
    assert "the quote is of 2026-03-02, later than today" in error["message"]


def test_the_kit_keeps_its_day(kept: Path) -> None:
    assert json.loads(kept.read_text(encoding="utf-8"))["date"] == "2026-03-02"
