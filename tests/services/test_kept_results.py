"""Results that are kept: made again to the last digit, and told where text or numbers changed since."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from tappetry.records.problems import BadInput
from tappetry.services import kept_results
from tappetry.services.kept_results import keep_result, kept_result, repeat
from tappetry.services.model_sources import SOURCES
from tappetry.services.shop import Shop
from tappetry.services.simulate import Simulated, described_at, idle_described, simulate_described
from tappetry.simulation.engine import Mesh
from tests.kitting.support import demo

COARSE = Mesh(4, 6, 5, 10)


@pytest.fixture
def own(tmp_path: Path) -> Shop:
    """The invented shop, with a folder of its own for what it keeps."""
    shop = Shop(tmp_path, demo().folder)
    shop.__dict__["knowledge"], shop.__dict__["catalogue"] = demo().knowledge, demo().catalogue
    return shop


@pytest.fixture(scope="module")
def found() -> Simulated:
    described = described_at(demo(), "B51", "B1", 1.0)
    return simulate_described(described, (3000.0, 4000.0), lambda point: None, COARSE)


@pytest.mark.slow
def test_a_result_comes_back_whole_and_out_the_same(own: Shop, found: Simulated) -> None:
    file = keep_result(own, "mine", [found], 1.0, None)
    assert file == own.folder / "results" / "mine.json"
    assert json.loads(file.read_text())["sources"] == SOURCES
    kept = kept_result(own, "mine")
    assert kept == kept_result(own, str(file))
    assert kept.found == (found,)
    (again,) = repeat(own, kept, lambda point: None)
    assert again.same
    assert (again.most, again.text_says) == (0.0, "")


@pytest.mark.slow
def test_an_idle_comes_out_the_same(own: Shop) -> None:
    still = idle_described(described_at(demo(), "B51", "", 0.5), None, lambda point: None)
    keep_result(own, "still", [still], 1.0, None)
    (again,) = repeat(own, kept_result(own, "still"), lambda point: None)
    assert again.same
    assert again.text_says == ""


@pytest.mark.slow
def test_what_changed_since_is_told(own: Shop, found: Simulated) -> None:
    first, second = found.points
    other = replace(found, points=(first, replace(second, fuel_flow=second.fuel_flow * 1.02)))
    warm = replace(found.described.engine, air=replace(found.described.engine.air, temperature=310.0))
    keep_result(
        own, "mine", [other, replace(found, described=replace(found.described, engine=warm))], 1.0, None
    )
    changed, warmer = repeat(own, kept_result(own, "mine"), lambda point: None)
    assert not changed.same
    assert changed.quantity == "fuel_flow"
    assert changed.most == pytest.approx(0.02 / 1.02)
    assert changed.speed == pytest.approx(4000)
    assert changed.most > changed.settled
    assert changed.text_says == ""
    assert warmer.text_says == "the shop's text says otherwise today of its air"
    assert not warmer.same, "it is turned in the numbers that were kept"


@pytest.mark.slow
def test_an_engine_that_the_shop_no_longer_describes_is_turned_still(own: Shop, found: Simulated) -> None:
    keep_result(own, "gone", [replace(found, described=replace(found.described, variant="B99"))], 1.0, None)
    (again,) = repeat(own, kept_result(own, "gone"), lambda point: None)
    assert again.same
    assert again.text_says.startswith("the shop's text no longer describes it: ")


def test_what_is_no_result_is_told(own: Shop) -> None:
    with pytest.raises(
        BadInput, match=r"no such result \(read: mine\); expected a name that is kept; none is yet"
    ):
        kept_result(own, "mine")
    with pytest.raises(BadInput, match=r"no such name \(read: My Result\)"):
        kept_result(own, "My Result")
    folder = own.folder / kept_results.FOLDER
    folder.mkdir()
    (folder / "mine.json").write_text(json.dumps({"curves": []}))
    with pytest.raises(
        BadInput, match=r"this is no result \(read: JSON of another kind\); expected one that"
    ):
        kept_result(own, "mine")


@pytest.mark.slow
@pytest.mark.parametrize("what", ["no curve", "no point", "a word for a number"])
def test_a_result_that_was_written_over_is_told(own: Shop, found: Simulated, what: str) -> None:
    file = keep_result(own, "mine", [found], 1.0, None)
    data = json.loads(file.read_text())
    (curve,) = data["curves"]
    if what == "no curve":
        data["curves"] = []
    elif what == "no point":
        curve["points"] = []
    else:
        curve["described"]["engine"]["plenum_volume"] = "large"
    file.write_text(json.dumps(data))
    with pytest.raises(BadInput, match="this is no result"):
        kept_result(own, "mine")


def test_the_reference_names_every_source_that_is_kept() -> None:
    """By the number of each paper."""
    text = (Path(__file__).parents[2] / "docs" / "reference" / "simulation.md").read_text(encoding="utf-8")
    papers = {paper for source in SOURCES.values() for paper in re.findall(r"(?:SAE|NASA) [\w-]+", source)}
    assert papers
    assert {paper for paper in papers if paper not in text} == set()
