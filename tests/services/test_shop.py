"""A shop's folder: made from the invented one, brought up to date, and never overwritten once changed."""

from __future__ import annotations

from pathlib import Path

import pytest

from tappetry.records.problems import BadInput
from tappetry.services import shop as shops
from tappetry.services.shop import MADE_FROM, content_mark, make_demo_shop, open_shop


def test_a_copy_that_nobody_changed_is_brought_up_to_date(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    newer = tmp_path / "newer"
    copy = make_demo_shop(tmp_path / "shop").folder
    make_demo_shop(newer)
    (newer / "jobs" / "another.yaml").write_text("job: another\n", encoding="utf-8")
    (newer / MADE_FROM).unlink()
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


def test_a_folder_without_a_shop_is_told(tmp_path: Path) -> None:
    with pytest.raises(BadInput) as caught:
        open_shop(tmp_path)
    assert f"{tmp_path}: the folder holds no shop" in str(caught.value)
    assert "tappetry demo" in str(caught.value)
