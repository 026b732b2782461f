"""Reads a job from its YAML file: facts with evidence, plan, place, signatures."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from tappetry.jobs.values import read_tolerance, read_value
from tappetry.knowledge import schema
from tappetry.knowledge.model import Knowledge
from tappetry.knowledge.text import Document, Path_, parse_yaml, read_yaml
from tappetry.records.evidence import Fact, Grade, Value
from tappetry.records.job import Job
from tappetry.records.plan import OwnPart, Plan
from tappetry.records.problems import BadInput, Complaints


def read_job(path: Path, knowledge: Knowledge) -> Job:
    """Read one job.

    Raises
    ------
    BadInput
        With every complaint: file, line, field, value read and what was expected.
    """
    return _read(read_yaml(path, path.name), knowledge)


def read_job_text(text: str, knowledge: Knowledge, shown: str) -> tuple[Job, dict[str, Any]]:
    """A job out of a text that a person wrote, and its content as plain data; ``shown`` names the text.

    Raises
    ------
    BadInput
        With every complaint: line, field, value read and what was expected.
    """
    document = parse_yaml(text, shown)
    return _read(document, knowledge), document.data


def read_job_data(data: Mapping[str, Any], knowledge: Knowledge, shown: str) -> Job:
    """A job out of the content of its file; ``shown`` names where it stands.

    Raises
    ------
    BadInput
        With every complaint: field, value read and what was expected.
    """
    return _read(Document(shown, data, {}), knowledge)


def _read(document: Document, knowledge: Knowledge) -> Job:
    if not isinstance(document.data, dict):
        raise BadInput.at(document.where(()), "a job is a mapping of job, date, facts and plan")
    schema.check(document, "job")
    return _JobReader(document, knowledge).read()


def read_plan(data: Mapping[str, Any], knowledge: Knowledge, shown: str) -> Plan:
    """A plan that stands in no file, as a job file would state it; ``shown`` is where it stands.

    Raises
    ------
    BadInput
        With every complaint: field, value read and what was expected.
    """
    document = Document(shown, {"job": "J", "date": "2000-01-01", "facts": {}, "plan": data}, {})
    schema.check(document, "job")
    reader = _JobReader(document, knowledge)
    plan = reader.plan(data)
    reader.complaints.raise_if_any()
    return plan


class _JobReader:
    """Turns one checked document into a job."""

    def __init__(self, document: Document, knowledge: Knowledge) -> None:
        self.document = document
        self.data: dict[str, Any] = document.data
        self.knowledge = knowledge
        self.complaints = Complaints()

    def read(self) -> Job:
        facts = tuple(self._facts())
        unknown = tuple(name for name, value in self.data["facts"].items() if self._is_unknown(value))
        plan = self.plan(self.data["plan"])
        day = self._date(("date",), self.data["date"])
        self.complaints.raise_if_any()
        assert day is not None
        return Job(
            id=self.data["job"],
            title=self.data.get("title", ""),
            date=day,
            facts=facts,
            plan=plan,
            unknown=unknown,
            customer=self.data.get("customer", ""),
            place=self.data.get("place", ""),
            road_use=self.data.get("road_use", True),
            signatures=self.data.get("signatures", {}),
            file=self.document.file,
        )

    @staticmethod
    def _is_unknown(value: Any) -> bool:
        return value == "unknown" or (isinstance(value, dict) and value.get("unknown") is True)

    # ---- facts ---------------------------------------------------------------------------------------

    def _facts(self) -> Iterator[Fact]:
        for attribute, stated in self.data["facts"].items():
            path: Path_ = ("facts", attribute)
            if not self._known(attribute, path):
                continue
            for item in stated if isinstance(stated, list) else [stated]:
                if not self._is_unknown(item):
                    grade, source = Grade[item["grade"]], item.get("source", "")
                    fact = self._fact(path, attribute, item["value"], grade, source, item.get("spread"))
                    if fact is not None:
                        yield fact
        for attribute, value in self.data.get("measurements", {}).items():
            path = ("measurements", attribute)
            if self._known(attribute, path):
                fact = self._fact(path, attribute, value, Grade.measured, "measured at the bench")
                if fact is not None:
                    yield fact

    def _known(self, attribute: str, path: Path_) -> bool:
        if attribute in self.knowledge.attributes:
            return True
        close = get_close_matches(attribute, self.knowledge.attributes, 1)
        expected = f"did you mean {close[0]}?" if close else "an attribute of the shop's list"
        self.complaints.add(self.document.where(path), "there is no such attribute", attribute, expected)
        return False

    def _fact(
        self, path: Path_, attribute: str, raw: Any, grade: Grade, source: str, spread: Any = None
    ) -> Fact | None:
        schema_ = self.knowledge.attributes[attribute]
        try:
            value, unit, si, as_read = read_value(schema_, raw)
            tolerance = read_tolerance(schema_, raw, spread)
        except ValueError as error:
            self.complaints.add(self.document.where(path), str(error), raw)
            return None
        return Fact(attribute, value, grade, source or "job", as_read, unit, si, tolerance)

    # ---- plan ----------------------------------------------------------------------------------------

    def plan(self, data: Mapping[str, Any]) -> Plan:
        package = data.get("package", self.knowledge.book.default_package)
        if package not in self.knowledge.book.packages:
            self.complaints.add(
                self.document.where(("plan", "package")),
                "there is no such package",
                package,
                "one of " + ", ".join(self.knowledge.book.packages),
            )
        work = tuple(data.get("work", ()))
        for index, name in enumerate(work):
            self._work_exists(("plan", "work", index), name)
        for need in data.get("declined", {}):
            self._need_exists(("plan", "declined", need), need)
        return Plan(
            phaser=data.get("phaser", "none"),
            deact=data.get("deact", "none"),
            heads=data.get("heads", "off"),
            cam=str(data.get("cam", "")),
            work=work,
            use=data.get("use", "daily"),
            package=package,
            rpm=float(data["rpm"]) if "rpm" in data else None,
            wishes=tuple(data.get("wishes", ())),
            pins=tuple(data.get("pins", ())),
            refused_parts=tuple(data.get("refusals", ())),
            declined=data.get("declined", {}),
            own_parts=tuple(self._own_parts(data.get("own_parts", []))),
            budget=self._money(("plan", "budget"), data.get("budget")),
            need_by=self._date(("plan", "need_by"), data.get("need_by")),
        )

    def _own_parts(self, items: list[dict[str, Any]]) -> Iterator[OwnPart]:
        for index, item in enumerate(items):
            self._need_exists(("plan", "own_parts", index), item["need"])
            attributes: dict[str, Value] = {
                name: tuple(map(str, value)) if isinstance(value, list) else _double(value)
                for name, value in item.get("attributes", {}).items()
            }
            yield OwnPart(
                need=item["need"],
                description=item["description"],
                attributes=attributes,
                pieces=item.get("pieces", 1),
                used=item.get("used", False),
                source=item.get("source", ""),
                released=item.get("released", False),
            )

    def _work_exists(self, path: Path_, name: str) -> None:
        known = self.knowledge.book.work
        if name not in known:
            close = get_close_matches(name, known, 1)
            listed = "one of " + ", ".join(known) if known else "a camshaft: the house book states no work"
            expected = f"did you mean {close[0]}?" if close else listed
            self.complaints.add(self.document.where(path), "there is no such work", name, expected)

    def _need_exists(self, path: Path_, need: str) -> None:
        if need not in self.knowledge.needs:
            close = get_close_matches(need, self.knowledge.needs, 1)
            self.complaints.add(
                self.document.where(path),
                "there is no such need",
                need,
                f"did you mean {close[0]}?" if close else "a need of the shop's list",
            )

    def _money(self, path: Path_, raw: Any) -> Decimal | None:
        if raw is None:
            return None
        try:
            amount = Decimal(str(raw))
        except InvalidOperation:
            amount = Decimal("NaN")
        exponent = amount.as_tuple().exponent
        if not amount.is_finite() or amount <= 0 or not isinstance(exponent, int) or exponent < -2:
            self.complaints.add(
                self.document.where(path),
                "the amount cannot be read",
                raw,
                "such as 8500.00: more than zero, whole cents",
            )
            return None
        return amount

    def _date(self, path: Path_, raw: Any) -> date | None:
        if raw is None:
            return None
        try:
            return date.fromisoformat(str(raw))
        except ValueError:
            self.complaints.add(self.document.where(path), "there is no such day", raw, "year-month-day")
            return None


def _double(value: Any) -> Value:
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value
