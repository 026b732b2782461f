"""The same date, text and catalogue give the same bytes; each paper says which text and catalogue it had."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from tappetry.knowledge.loader import fingerprint
from tappetry.services.shop import make_demo_shop, open_shop

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]


def written(out: Path, seed: int) -> dict[str, bytes]:
    """What a process of its own writes, with another order of its sets."""
    out.mkdir()
    subprocess.run(
        [sys.executable, "-m", "tests.services.everything", str(out)],
        cwd=ROOT,
        env={**os.environ, "PYTHONHASHSEED": str(seed)},
        check=True,
        stderr=subprocess.DEVNULL,
    )
    return {file.name: file.read_bytes() for file in sorted(out.iterdir()) if file.is_file()}


@pytest.fixture(scope="module")
def twice(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, bytes], dict[str, bytes]]:
    place = tmp_path_factory.mktemp("twice")
    return written(place / "one", 1), written(place / "two", 2)


def test_two_processes_write_the_same_bytes(twice: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    one, two = twice
    assert one.keys() == two.keys()
    assert [name for name in one if one[name] != two[name]] == []
    assert len([name for name in one if name.endswith(".pdf")]) >= 10
    assert set(json.loads(one["refused.json"])) == {"error"}


def test_every_answer_and_every_paper_says_what_it_was_made_from(
    twice: tuple[dict[str, bytes], dict[str, bytes]], tmp_path: Path
) -> None:
    shop = make_demo_shop(tmp_path / "shop")
    versions = {"knowledge": shop.knowledge.version, "catalogue": shop.catalogue.version}
    for name, content in twice[0].items():
        if name.endswith(".json") and name != "refused.json":
            data = json.loads(content)
            assert set(stated(data)) == set(versions.items()), name
        elif name.endswith(".pdf"):
            pages = list(pypdfium2.PdfDocument(content))
            foot = f"knowledge {versions['knowledge']} · catalogue {versions['catalogue']}"
            for page in pages:
                assert foot in page.get_textpage().get_text_bounded(), name


def stated(data: Any) -> list[tuple[str, str]]:
    """The versions that stand anywhere in an answer."""
    if isinstance(data, list):
        return [each for item in data for each in stated(item)]
    if not isinstance(data, dict):
        return []
    found = list(data.get("versions", {}).items())
    kinds = [kind for kind in ("knowledge", "catalogue") if f"{kind}_version" in data]
    found += [(kind, data[f"{kind}_version"]) for kind in kinds]
    return found + [each for item in data.values() for each in stated(item)]


@pytest.mark.parametrize(
    ("file", "old", "new", "changes"),
    [
        ("parts.csv", ",459.00,", ",460.00,", "catalogue"),
        ("suppliers.yaml", 'freight: "16.00"', 'freight: "17.00"', "catalogue"),
        ("tables/grind.yaml", "icl_deg: 112", "icl_deg: 113", "catalogue"),
        ("rules.yaml", "severity: WARN", "severity: NOTE", "knowledge"),
        ("needs/4-sealing.yaml", "never reused", "never used again", "knowledge"),
        ("families/brindle/family.yaml", "deck-height: 236.0", "deck-height: 236.1", "knowledge"),
        ("shop.yaml", "pv_intake_min_in: 0.080", "pv_intake_min_in: 0.081", "knowledge"),
        ("jobs/J1.yaml", "customer: A. Pellow", "customer: B. Pellow", None),
        ("vehicles.yaml", "2004 Tollgate pickup", "2004 pickup", None),
    ],
)
def test_one_change_of_a_shops_text_changes_one_version(
    file: str, old: str, new: str, changes: str | None, tmp_path: Path
) -> None:
    shop = make_demo_shop(tmp_path / "shop")
    before = {"knowledge": fingerprint(shop.folder), "catalogue": shop.catalogue.version}
    text = (shop.folder / file).read_text(encoding="utf-8")
    assert old in text
    (shop.folder / file).write_text(text.replace(old, new, 1), encoding="utf-8")
    now = open_shop(shop.folder)
    after = {"knowledge": fingerprint(now.folder), "catalogue": now.catalogue.version}
    assert [kind for kind in before if before[kind] != after[kind]] == ([changes] if changes else [])
