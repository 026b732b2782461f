"""Looks for mistakes in a shop's knowledge before a customer finds them; changes nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from tappetry.knowledge.audit_contradictions import check_contradictions
from tappetry.knowledge.audit_families import check_families
from tappetry.knowledge.audit_finding import AuditFinding, AuditKind, unreadable
from tappetry.knowledge.audit_names import check_names
from tappetry.knowledge.audit_never import check_never
from tappetry.knowledge.audit_parts import check_parts
from tappetry.knowledge.audit_reasons import check_reasons
from tappetry.knowledge.audit_subject import CalculationNames, Subject, conditions
from tappetry.knowledge.audit_units import check_units
from tappetry.knowledge.audit_vocabulary import Vocabulary
from tappetry.knowledge.model import Knowledge
from tappetry.records.part import Part

__all__ = ["AuditFinding", "AuditKind", "CalculationNames", "audit", "unreadable"]


def audit(
    folder: Path,
    knowledge: Knowledge,
    parts: Iterable[Part],
    calculations: Mapping[str, CalculationNames],
) -> tuple[AuditFinding, ...]:
    """Everything that is wrong or worth a look in a shop's text, by file and line.

    Parameters
    ----------
    folder : Path
        The folder that the knowledge was read from; gives the line of every finding.
    knowledge : Knowledge
        What the folder's text says.
    parts : iterable of Part
        What the catalogue carries.
    calculations : mapping
        The registered calculations by name.

    Returns
    -------
    tuple of AuditFinding
        Sorted by file, line and field; those of kind ``note`` are no mistakes.
    """
    subject = Subject(folder, knowledge, tuple(parts), calculations)
    vocabulary = Vocabulary(subject)
    all_conditions, errors = conditions(subject)
    found = [
        *(bad for error in errors for bad in unreadable(error)),
        *check_names(subject, vocabulary, all_conditions),
        *check_never(vocabulary, all_conditions),
        *check_parts(subject, vocabulary),
        *check_contradictions(subject, vocabulary),
        *check_reasons(subject),
        *check_units(subject, all_conditions),
        *check_families(subject, all_conditions),
    ]
    return tuple(sorted(dict.fromkeys(found), key=lambda f: (f.file, f.line, f.field, f.kind, f.value)))
