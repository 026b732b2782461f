"""A shop's folder: made from the invented one, brought up to date, and never overwritten once changed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tappetry.knowledge.schema import schema
from tappetry.records.problems import BadInput
from tappetry.services import shop as shops
from tappetry.services.shop import content_mark, demo_folder, make_demo_shop, open_shop


def test_a_copy_that_nobody_changed_is_brought_up_to_date(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    newer = tmp_path / "newer"
    copy = make_demo_shop(tmp_path / "shop").folder
    make_demo_shop(newer)
    (newer / "jobs" / "another.yaml").write_text("job: another\n", encoding="utf-8")
    monkeypatch.setattr(shops, "demo_folder", lambda: newer)

    make_demo_shop(copy)

    assert (copy / "jobs" / "another.yaml").is_file()
    assert content_mark(copy) == content_mark(newer)


def test_a_copy_that_a_person_changed_is_left_as_it_is(tmp_path: Path) -> None:
    copy = make_demo_shop(tmp_path / "shop").folder
    changed = copy / "shop.yaml"
    changed.write_text(changed.read_text(encoding="utf-8") + "# ours now\n", encoding="utf-8")
    (copy / "jobs" / "J3.yaml").unlink()

    make_demo_shop(copy)

    assert changed.read_text(encoding="utf-8").endswith("# ours now\n")
    assert not (copy / "jobs" / "J3.yaml").exists()


def test_each_text_of_a_copy_names_a_schema_that_stands_in_the_copy(tmp_path: Path) -> None:
    copy = make_demo_shop(tmp_path / "a" / "shop").folder
    texts = sorted(copy.rglob("*.yaml"))
    assert len(texts) > 20
    for text in texts:
        first, *rest = text.read_text(encoding="utf-8").splitlines()
        named = (text.parent / first.removeprefix("# yaml-language-server: $schema=")).resolve()
        assert named.is_relative_to(copy.resolve())
        assert json.loads(named.read_text("utf-8")) == schema(named.name.removesuffix(".schema.json"))
        shipped = demo_folder() / text.relative_to(copy)
        assert rest == shipped.read_text(encoding="utf-8").splitlines()[1:]


def test_a_copy_of_this_state_is_not_made_again(tmp_path: Path) -> None:
    copy = make_demo_shop(tmp_path / "shop").folder
    before = {file: file.stat().st_mtime_ns for file in copy.rglob("*.yaml")}
    make_demo_shop(copy)
    assert {file: file.stat().st_mtime_ns for file in copy.rglob("*.yaml")} == before


def test_the_schemas_of_a_copy_are_those_of_the_program_even_beside_changed_texts(tmp_path: Path) -> None:
    copy = make_demo_shop(tmp_path / "shop").folder
    (copy / "jobs" / "J3.yaml").unlink()
    old = copy / "schemas" / "job.schema.json"
    old.write_text("{}", encoding="utf-8")
    make_demo_shop(copy)
    assert json.loads(old.read_text(encoding="utf-8")) == schema("job")
    assert not (copy / "jobs" / "J3.yaml").exists()


def test_a_folder_without_a_shop_is_told(tmp_path: Path) -> None:
    with pytest.raises(BadInput) as caught:
        open_shop(tmp_path)
    assert f"{tmp_path}: the folder holds no shop" in str(caught.value)
    assert "tappetry demo" in str(caught.value)
