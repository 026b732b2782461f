"""`tappetry begin`: a shop of one's own from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tappetry.services.begin import template, templates
from tests.cli.calling import call, refused
from tests.services.test_begin import SAID, inside

WORDS = [word for name, said in SAID.items() for word in (f"--{name.replace('_', '-')}", said)]


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder that is not there yet, named by TAPPETRY_HOME."""
    monkeypatch.setenv("TAPPETRY_HOME", str(tmp_path / "own"))
    return tmp_path / "own"


def test_it_begins_a_shop_that_other_commands_work_with(place: Path) -> None:
    said = call("begin", *WORDS)
    assert said.code == 0
    assert f"{place}: the shop has begun" in said.words
    assert call("audit", place).code == 0
    file = place / "jobs" / "Q-1.yaml"
    assert call("job", "new", file).code == 0


def test_templates_are_written_changed_and_brought_back(place: Path) -> None:
    folder = place.parent / "templates"
    assert call("begin", "--templates", folder, "--json").data == {
        "files": [str(folder / name) for name in templates()]
    }
    assert inside(folder) == {name: template(name) for name in templates()}
    family = folder / "family.yaml"
    family.write_text(family.read_text("utf-8").replace("Fescue inline four", "Our four"), encoding="utf-8")
    data = call("begin", *WORDS, "--file", family, "--json").data
    assert data == {"folder": str(place), "told": []}
    assert "Our four" in (place / "families" / "first" / "family.yaml").read_text(encoding="utf-8")
    code, error = refused("begin", "--templates", folder)
    assert code == 3
    assert "there are such files already" in error["message"]


def test_a_failed_start_is_bad_input_with_every_complaint(place: Path) -> None:
    code, error = refused("begin", *WORDS, "--tax-labour", "190", "--currency", "EURO")
    assert code == 3
    assert [each["where"] for each in error["complaints"]] == ["shop.yaml:14, money.currency"]
    assert not place.exists()


def test_a_file_that_is_not_there_is_bad_input(place: Path) -> None:
    code, error = refused("begin", *WORDS, "--file", place / "family.yaml")
    assert code == 3
    assert "the file cannot be read: No such file or directory" in error["message"]
    assert not place.exists()


def test_the_invented_shop_is_put_beside(place: Path) -> None:
    said = call("begin", "--demo")
    assert said.code == 0
    assert f"TAPPETRY_HOME={place}-demo tappetry serve" in said.words
    assert json.loads(call("begin", "--demo", "--json").out)["folder"] == f"{place}-demo"
    assert not place.exists()


def test_nothing_is_begun_where_a_shop_is(place: Path) -> None:
    call("begin", *WORDS)
    before = inside(place)
    for words in (WORDS, ["--demo"]):
        code, error = refused("begin", *words)
        assert code == 3
        assert "there is a shop already" in error["message"]
    assert inside(place) == before
