"""Notes to third persons: what must be told in writing of this plan with these parts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tappetry.assembly.sentences import NOT_KNOWN, tell
from tappetry.assembly.values import Values
from tappetry.knowledge.language import Unknown
from tappetry.knowledge.model import NoteRule
from tappetry.records.kit import Note

Views = Mapping[str, Mapping[str, Any]]


def notes(values: Values, views: Views) -> Iterator[Note]:
    """The notes that belong to a plan; one whose condition is not known is not told yet."""
    for rule in values.knowledge.notes:
        if values.maybe(rule.when, views) is True:
            text = tell(values, rule.says, views)
            yield Note(
                rule.id, rule.to, text, rule.why, rule.source, rule.need, tuple(_values(values, rule, views))
            )


def _values(values: Values, rule: NoteRule, views: Views) -> Iterator[tuple[str, float | str]]:
    for blank in rule.says.blanks:
        try:
            value = values.evaluate(blank.expression, views)
        except Unknown:
            value = NOT_KNOWN
        yield blank.expression.text, value
