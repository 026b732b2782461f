"""`tappetry audit`: mistakes in a shop's own text files, by file and line."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tappetry.cli.streams import answer, note, stage

if TYPE_CHECKING:
    from tappetry.knowledge.audit import AuditFinding


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    parser.add_argument(
        "folder", nargs="?", type=Path, metavar="FOLDER", help="a shop's folder; without it TAPPETRY_HOME"
    )


def run(arguments: argparse.Namespace) -> int:
    """Print every finding; 3 when one of them is a mistake."""
    from tappetry.records.problems import BadInput
    from tappetry.services.audits import audit_folder
    from tappetry.services.shop import home

    folder: Path = arguments.folder or home()
    with stage(f"audit of {folder}") as now:
        findings = audit_folder(folder)
        now.result = summary(findings)
    mistakes = sum(not each.is_note for each in findings)
    if arguments.json:
        answer(
            {
                "folder": str(folder),
                "mistakes": mistakes,
                "notes": len(findings) - mistakes,
                "findings": [finding_data(each) for each in findings],
            }
        )
    elif findings:
        print(*findings, sep="\n")
    else:
        note("nothing to say: the text is sound")
    return BadInput.exit_code if mistakes else 0


def summary(findings: tuple[AuditFinding, ...]) -> str:
    """How many mistakes and notes there are."""
    notes = sum(each.is_note for each in findings)
    mistakes = len(findings) - notes
    said = f"{mistakes} mistake{'s' * (mistakes != 1)}" if mistakes else "no mistake"
    return f"{said}, {notes} note{'s' * (notes != 1)}" if notes else said


def finding_data(finding: AuditFinding) -> dict[str, Any]:
    """One finding as data."""
    return {
        "kind": finding.kind.value,
        "file": finding.file,
        "line": finding.line,
        "field": finding.field,
        "value": finding.value,
        "expected": finding.expected,
        "message": finding.message,
    }
