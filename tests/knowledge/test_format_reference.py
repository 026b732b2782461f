"""The reference of the text files: its examples keep the schemas, and it leaves no key and no kind out."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from tappetry.knowledge import families, schema
from tappetry.knowledge.audit import AuditKind
from tappetry.knowledge.language import compile_expression
from tappetry.knowledge.text import parse_yaml
from tappetry.knowledge.units import SUFFIXES
from tappetry.records.problems import Where

PAGE = (Path(__file__).resolve().parents[2] / "docs/reference/knowledge-format.md").read_text(
    encoding="utf-8"
)
EXAMPLES = dict(re.findall(r"```yaml\n# (\w+)\.yaml\n(.*?)```", PAGE, re.DOTALL))
#: The texts that make up the rules of a shop; each has an example on the page.
RULES = {"attributes", "needs", "notes", "operations", "proofs", "quantities", "rules", "spreads"}


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_an_example_keeps_its_schema(name: str) -> None:
    schema.check(parse_yaml(EXAMPLES[name], f"{name}.yaml"), name)


def test_every_text_of_rules_has_an_example() -> None:
    assert set(EXAMPLES) == RULES


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_no_key_is_left_out(name: str) -> None:
    said: dict[str, Any] = schema.schema(name)
    keys = said.get("items", said)["properties"]
    missing = [key for key in keys if not re.search(rf"\b{key}\b", PAGE)]
    assert missing == []


def test_no_kind_of_finding_is_left_out() -> None:
    assert [kind for kind in AuditKind if f"`{kind}`" not in PAGE] == []


def test_no_unit_ending_is_left_out() -> None:
    assert [suffix for suffix in SUFFIXES if f"`_{suffix}`" not in PAGE] == []


def test_the_conditions_can_be_compiled() -> None:
    block = re.search(r"## Conditions.*?```\n(.*?)```", PAGE, re.DOTALL)
    assert block is not None
    for line in block.group(1).splitlines():
        assert compile_expression(line, Where("page")).reads


def test_the_family_of_the_page_is_read(tmp_path: Path) -> None:
    block = re.search(r"## families.*?```yaml\n(.*?)```", PAGE, re.DOTALL)
    assert block is not None
    folder = tmp_path / "families" / "br"
    folder.mkdir(parents=True)
    (folder / "family.yaml").write_text(block.group(1), encoding="utf-8")
    stated = yaml.safe_load(block.group(1))
    known = {
        **stated["attributes"],
        **{name: "" for table in stated["tables"] for row in table["rows"].values() for name in row},
        **dict.fromkeys(["block-casting", "era", "phaser-hardware", "variant"], ""),
    }
    listed = "".join(f"- {{id: {name}, title: {name}, type: text}}\n" for name in known)
    attributes = families.attributes(parse_yaml(listed, "attributes.yaml"))
    (family,) = families.families(tmp_path, attributes).values()
    assert (family.id, family.name) == (stated["id"], stated["name"])
    assert set(family.fitted) == set(stated["fitted"])
    assert family.breaks[0].driver == "block-casting"
    assert family.applications[0].vin == {4: "W", 8: "E"}
