"""Production breaks that nothing covers, rows that no engine selects, and fitted parts nobody knows."""

from __future__ import annotations

from collections.abc import Iterator

from tappetry.knowledge.audit_finding import AuditFinding, AuditKind, closest, finding
from tappetry.knowledge.audit_subject import Condition, Subject
from tappetry.knowledge.audit_vocabulary import Values, family_values, fits
from tappetry.knowledge.text import Path_
from tappetry.records.family import Break, Family, Table, key_text

#: The attribute that selects a row of a family's applications.
APPLICATION = "application"
#: How the rows of a table spell a truth.
TRUTH_KEYS = ("yes", "no")


def check_families(subject: Subject, all_conditions: list[Condition]) -> Iterator[AuditFinding]:
    """Each family's breaks, tables, fitted parts and applications against attributes, needs and parts."""
    read = {r.member for c in all_conditions for r in c.expression.reads if r.root == "engine"}
    for family in subject.knowledge.families.values():
        checks = _Family(subject, family, read)
        yield from checks.breaks()
        yield from checks.keys()
        yield from checks.fitted()


class _Family:
    """The checks of one family."""

    def __init__(self, subject: Subject, family: Family, read: set[str]) -> None:
        self.subject = subject
        self.family = family
        self.attributes = subject.knowledge.attributes
        self.read = read
        self.stated: dict[str, Values] = family_values(family)

    # ---- production breaks ---------------------------------------------------------------------------

    def breaks(self) -> Iterator[AuditFinding]:
        """A break whose driver decides nothing, or whose values occur nowhere."""
        for index, item in enumerate(self.family.breaks):
            for key, name in (("feature", item.feature), ("driver", item.driver)):
                if name not in self.attributes:
                    yield finding(
                        AuditKind.UNKNOWN_NAME,
                        self.subject.where(self.family.file, "breaks", index, key),
                        "the production break names an attribute that does not exist",
                        name,
                        closest(name, self.attributes, "an id of attributes.yaml"),
                    )
            if item.driver in self.attributes and not self._drives(item):
                yield self._uncovered(
                    index, "driver", item, item.driver, "a table by it, or a condition that reads it"
                )
            for key, value in (("from", item.before), ("to", item.after)):
                if item.feature in self.attributes and value and not self._covers(item.feature, value):
                    yield self._uncovered(
                        index,
                        key,
                        item,
                        value,
                        f"a table row, an application or a part with {item.feature} {value}",
                    )

    def _drives(self, item: Break) -> bool:
        tables = [*self.family.tables, *(t for fitted in self.family.fitted.values() for t in fitted.tables)]
        in_table = item.driver == APPLICATION or any(item.driver in table.by for table in tables)
        return in_table or self.attributes[item.driver].name_in_conditions in self.read

    def _covers(self, feature: str, value: str) -> bool:
        """Whether any row, application or part of the family has the value."""
        if any(key_text(v) == value for v in self.stated.get(feature, ())):
            return True
        return any(
            value in part.fits.get(feature, ())
            for part in self.subject.parts
            if fits(part, {"family": self.stated["family"]})
        )

    def _uncovered(self, index: int, key: str, item: Break, value: str, expected: str) -> AuditFinding:
        return finding(
            AuditKind.UNCOVERED_BREAK,
            self.subject.where(self.family.file, "breaks", index, key),
            f"nothing of {self.family.name} covers this side of the production break of {item.feature}",
            value,
            expected,
        )

    # ---- tables --------------------------------------------------------------------------------------

    def keys(self) -> Iterator[AuditFinding]:
        """Rows that no fact can select: a truth is yes or no."""
        named: list[tuple[Path_, Table]] = [
            (("tables", n), table) for n, table in enumerate(self.family.tables)
        ]
        named += [(("fitted", need), t) for need, f in self.family.fitted.items() for t in f.tables]
        for path, table in named:
            for attribute, key in ((a, k) for row in table.rows for a, k in zip(table.by, row, strict=False)):
                if self.attributes[attribute].type == "truth" and key not in TRUTH_KEYS:
                    yield finding(
                        AuditKind.UNKNOWN_VALUE,
                        self.subject.where(self.family.file, *path),
                        f"{attribute} is true or not, so no engine selects this row",
                        key,
                        " or ".join(TRUTH_KEYS),
                    )

    # ---- what is fitted as built -------------------------------------------------------------------------

    def fitted(self) -> Iterator[AuditFinding]:
        """Fitted parts of needs that do not exist, with attributes that are not declared."""
        knowledge = self.subject.knowledge
        for need, fitted in self.family.fitted.items():
            where = self.subject.where(self.family.file, "fitted", need)
            if need not in knowledge.needs:
                yield finding(
                    AuditKind.UNKNOWN_ID,
                    where,
                    f"{self.family.name} fits a part to a need that does not exist",
                    need,
                    closest(need, knowledge.needs, "a need of the folder needs"),
                )
            stated = {name for table in fitted.tables for row in table.rows.values() for name in row}
            for name in sorted(stated - set(knowledge.part_attributes)):
                yield finding(
                    AuditKind.UNKNOWN_NAME,
                    where,
                    f"{need} as fitted states an attribute that part-attributes.yaml does not declare",
                    name,
                    closest(name, knowledge.part_attributes, "an id of part-attributes.yaml"),
                )
