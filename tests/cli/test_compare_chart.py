"""`tappetry compare --days --chart`: what is drawn, and what is refused before the work."""

from __future__ import annotations

from pathlib import Path

import pytest

from tappetry.services.shop import Shop
from tests.cli.calling import call, refused


@pytest.mark.slow
def test_cost_by_day_is_drawn(shop: Shop, tmp_path: Path) -> None:
    file = tmp_path / "days.svg"
    said = call("compare", shop.folder / "jobs" / "J5.yaml", "--days", "--chart", file, "--json")
    assert said.code == 0
    assert str(file) in said.err
    drawn = file.read_text(encoding="utf-8")
    for told in ("What each day costs, J5", "total [USD]", "landed cost [USD]", "[working days]"):
        assert told in drawn


def test_only_days_are_drawn(shop: Shop, tmp_path: Path) -> None:
    job = shop.folder / "jobs" / "J5.yaml"
    code, error = refused("compare", job, "--chart", tmp_path / "days.svg")
    assert code == 3
    assert "--days beside it" in error["message"]
    code, error = refused("compare", job, "--days", "--chart", tmp_path / "days.txt")
    assert code == 3
    assert ".svg or .png" in error["message"]
