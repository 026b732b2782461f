"""What the README says that a machine can see: commands, make targets, rooms, and a job that can be read."""

from __future__ import annotations

import re
from pathlib import Path

from tappetry.cli import COMMANDS
from tappetry.jobs.reader import read_job
from tappetry.knowledge.loader import load
from tappetry.services.shop import demo_folder

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_every_command_and_no_other_is_listed() -> None:
    listed = re.findall(r"^\| `tappetry (\w+)", README, re.MULTILINE)
    assert listed == list(COMMANDS)


def test_make_targets_exist() -> None:
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    named = set(
        re.findall(r"\bmake ([a-z]+)\b", "\n".join(re.findall(r"```.*?```|`[^`]*`", README, re.DOTALL)))
    )
    assert {"demo", "test"} <= named
    assert [target for target in sorted(named) if not re.search(rf"^{target}:", makefile, re.MULTILINE)] == []


def test_rooms_exist_and_none_is_missing() -> None:
    table = README.split("## How the rooms lie")[1].split("\n## ")[0]
    listed = {
        room for row in re.findall(r"^\| (`.+?`) \|", table, re.MULTILINE) for room in row.split("`")[1::2]
    }
    rooms = {file.parent.name for file in (ROOT / "src" / "tappetry").glob("*/__init__.py")}
    assert listed == rooms


def test_the_job_can_be_read(tmp_path: Path) -> None:
    (block,) = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)
    file = tmp_path / "job.yaml"
    file.write_text(block, encoding="utf-8")
    job = read_job(file, load(demo_folder()))
    assert (job.id, job.plan.cam, job.plan.heads) == ("J3", "B1", "on")
    assert {fact.attribute: fact.si for fact in job.facts}["oil-pressure-idle"] == 150_000.0
