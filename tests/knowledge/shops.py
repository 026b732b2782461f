"""A copy of the invented shop with one mistake planted in it."""

from __future__ import annotations

import re
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from tappetry.knowledge.audit import AuditFinding, AuditKind
from tappetry.services.audits import audit_folder
from tappetry.services.shop import demo_folder

#: A need that nothing else speaks of; a test adds its mistake below.
PROBE_FILE = "needs/9-probe.yaml"
PROBE = """
- id: probe
  title: probe
  group: Services
  source: shop
"""


@dataclass(frozen=True)
class Planted:
    """Where a mistake was planted: file, line, and the folder it stands in."""

    folder: Path
    file: str
    line: int

    def mistakes(self) -> list[AuditFinding]:
        """What the audit finds wrong."""
        return [finding for finding in audit_folder(self.folder) if not finding.is_note]

    def notes(self) -> list[AuditFinding]:
        """What the audit finds worth a look."""
        return [finding for finding in audit_folder(self.folder) if finding.is_note]

    def finds(self, kind: AuditKind, field: str, value: str, expected: str, message: str) -> AuditFinding:
        """Assert that the audit finds this mistake here and no other."""
        mistakes = self.mistakes()
        assert len(mistakes) == 1, "\n".join(map(str, mistakes))
        (found,) = mistakes
        assert (found.kind, found.file, found.line) == (kind, self.file, self.line), str(found)
        assert re.fullmatch(field, found.field), found.field
        assert (found.value, found.expected) == (value, expected)
        assert message in found.message
        return found

    def value_at(self, field: str) -> Any:
        """What stands at a field such as ``[3].match[0].that``, read without the program's own reader."""
        value = yaml.safe_load((self.folder / self.file).read_text(encoding="utf-8"))
        for name, index in re.findall(r"([^.\[\]]+)|\[(\d+)\]", field):
            value = value[int(index)] if index else value[name]
        return value


def copy_of_demo(place: Path) -> Path:
    """A copy of the invented shop."""
    return Path(shutil.copytree(demo_folder(), place / "shop"))


def plant(place: Path, file: str, text: str, mark: str = "") -> Planted:
    """Add text to a file of a copy; the mistake stands on the line that holds ``mark`` (else the last)."""
    folder = copy_of_demo(place)
    path = folder / file
    before = path.read_text(encoding="utf-8") if path.is_file() else ""
    path.write_text(f"{before.rstrip()}\n{text.strip()}\n" if before else text, encoding="utf-8")
    return Planted(folder, file, line_of(path, mark or text.strip().splitlines()[-1].strip()))


def plant_probe(place: Path, more: str, mark: str = "") -> Planted:
    """Add a need of its own with some more keys, two spaces in."""
    return plant(place, PROBE_FILE, PROBE + more.strip("\n") + "\n", mark)


def replant(place: Path, file: str, old: str, new: str) -> Planted:
    """Write ``new`` for ``old``, which stands once in a file of a copy."""
    folder = copy_of_demo(place)
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1, f"{file} holds {text.count(old)} times {old!r}"
    path.write_text(text.replace(old, new), encoding="utf-8")
    return Planted(folder, file, line_of(path, new.strip("\n").splitlines()[0]))


def line_of(path: Path, text: str) -> int:
    """The number of the one line that holds a text."""
    numbers = [n for n, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1) if text in line]
    assert len(numbers) == 1, f"{path.name} holds {text!r} on the lines {numbers}"
    return numbers[0]
