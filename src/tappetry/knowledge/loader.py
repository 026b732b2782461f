"""Reads a shop's folder of text files into one immutable whole; complaints name file, line and field."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from tappetry.knowledge import families, schema
from tappetry.knowledge.engines import read_tables
from tappetry.knowledge.fasteners import torque_tables
from tappetry.knowledge.language import Expression, compile_expression
from tappetry.knowledge.model import (
    Box,
    Change,
    Gate,
    Knowledge,
    MadeTo,
    Named,
    NamedInput,
    Need,
    NoteRule,
    OneOfEach,
    Operation,
    Package,
    Preference,
    ProofRule,
    RemedyRule,
    Rule,
    ShopBook,
    Slot,
    Sweep,
)
from tappetry.knowledge.procedures import Step, read_procedures
from tappetry.knowledge.sentences import Sentence, compile_sentence
from tappetry.knowledge.spreads import Spreads, read_spreads
from tappetry.knowledge.text import Document, Path_
from tappetry.knowledge.units import unit_of_name
from tappetry.records.evidence import Grade
from tappetry.records.family import AttributeSchema
from tappetry.records.plan import Work
from tappetry.records.problems import BadInput, Complaints, Where

#: The files of a shop's folder that are its knowledge, but for those in the folder itself that are not.
KNOWLEDGE_FILES = ("*.yaml", "needs/*.yaml", "families/*/*.yaml")
OTHER_FILES = frozenset({"suppliers.yaml", "vehicles.yaml"})


def load(folder: Path) -> Knowledge:
    """Read everything a shop knows.

    Raises
    ------
    BadInput
        With every complaint about the text: schema, expressions, names used twice.
    """
    if not folder.is_dir():
        raise BadInput.at(Where(str(folder)), "there is no such folder of knowledge", folder.name)
    reader = _Reader(folder)
    needs = reader.needs()
    attributes = families.attributes(reader.document("attributes.yaml", "attributes"))
    engines = families.families(folder, attributes)
    parts = families.part_attributes(reader.document("part-attributes.yaml", "part-attributes"))
    knowledge = Knowledge(
        book=reader.book(),
        attributes=attributes,
        part_attributes=parts,
        families=engines,
        needs=needs,
        named=reader.named(),
        proofs=reader.proofs(attributes),
        rules=reader.rules(),
        gates=reader.gates(),
        operations=reader.operations(),
        tables=read_tables(folder),
        legal=tuple(reader.document("legal.yaml", "legal").data),
        cautions=tuple(reader.document("cautions.yaml", "cautions").data),
        version=fingerprint(folder),
        notes=reader.notes(needs),
        fasteners=torque_tables(folder, engines, needs),
        spreads=reader.spreads(attributes, parts),
    )
    knowledge = replace(knowledge, procedures=reader.procedures(knowledge))
    reader.complaints.raise_if_any()
    return knowledge


def fingerprint(folder: Path) -> str:
    """A short version of the knowledge: the same text, the same version.

    Parts, suppliers and the tables that parts point into belong to the catalogue, and have its version.
    """
    digest = hashlib.sha256()
    for file in sorted(file for pattern in KNOWLEDGE_FILES for file in folder.glob(pattern)):
        if file.name not in OTHER_FILES:
            content = file.read_bytes()
            digest.update(f"{file.relative_to(folder).as_posix()}\0{len(content)}\0".encode() + content)
    return digest.hexdigest()[:12]


class _Reader:
    """Reads the files of one folder and collects complaints."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.complaints = Complaints()
        self._documents: dict[str, Document] = {}

    def document(self, name: str, schema_name: str = "") -> Document:
        """One file, read once, checked against its schema."""
        if name not in self._documents:
            self._documents[name] = schema.read(self.folder, name, schema_name)
        return self._documents[name]

    def expression(self, document: Document, path: Path_, value: Any) -> Expression:
        """Compile one expression where it stands."""
        return compile_expression(value, document.where(path))

    def optional(self, document: Document, path: Path_, value: Any) -> Expression | None:
        """Compile an expression if there is one."""
        return None if value is None else self.expression(document, path, value)

    def sentence(self, document: Document, path: Path_, item: Mapping[str, Any]) -> Sentence | None:
        """The words of an item that says something with figures."""
        return compile_sentence(item["says"], document.where((*path, "says"))) if "says" in item else None

    def items(self, document: Document, at: Path_ = ()) -> Iterator[tuple[Path_, dict[str, Any]]]:
        """The items of a list with their paths."""
        data = document.data
        for step in at:
            data = data[step] if isinstance(data, Mapping) and step in data else []
        for index, item in enumerate(data):
            yield (*at, index), item

    def once(self, seen: Mapping[str, Any], key: str, document: Document, path: Path_) -> None:
        """Complain when a name stands twice."""
        if key in seen:
            self.complaints.add(document.where(path), "the name stands twice", key, "each name once")

    # ---- needs -----------------------------------------------------------------------------------

    def needs(self) -> dict[str, Need]:
        """Every need of the folder ``needs``, in file order."""
        needs: dict[str, Need] = {}
        for file in sorted((self.folder / "needs").glob("*.yaml")):
            document = self.document(f"needs/{file.name}", "needs")
            for path, item in self.items(document):
                self.once(needs, item["id"], document, path)
                needs[item["id"]] = self._need(document, path, item)
        return needs

    def _need(self, document: Document, path: Path_, item: dict[str, Any]) -> Need:
        root = item["id"].replace("-", "_")
        where = document.where(path)
        one_of_each = item.get("one_of_each")
        return Need(
            id=item["id"],
            title=item["title"],
            group=item["group"],
            root=root,
            slots=tuple(self._slots(document, path, item, root)),
            when=self.expression(document, (*path, "when"), item.get("when", True)),
            renew=self.expression(document, (*path, "renew"), item.get("renew", False)),
            why=item.get("why", ""),
            otherwise=item.get("otherwise", "none"),
            otherwise_why=item.get("otherwise_why", ""),
            written=item.get("written", "-"),
            house=item.get("house", False),
            no_part=item.get("no_part", ""),
            importance=item.get("importance", "must"),
            grade=Grade[item.get("grade", "decoded")],
            source=item["source"],
            rules=self._rules(document, path, item, "rules"),
            prefer=tuple(
                self._preference(document, (*path, "prefer", n), p)
                for n, p in enumerate(item.get("prefer", []))
            ),
            proofs=tuple(item.get("proofs", ())),
            box=self._box(document, (*path, "box"), item.get("box")),
            one_of_each=OneOfEach(
                one_of_each["attribute"],
                self.optional(document, (*path, "one_of_each", "only_least"), one_of_each.get("only_least")),
            )
            if one_of_each
            else None,
            made_to=self._made_to(document, (*path, "made_to"), item.get("made_to")),
            order_first=item.get("order_first", False),
            inspect=item.get("inspect", ""),
            allowance=item.get("allowance", ""),
            file=document.file,
            line=where.line,
        )

    def _box(self, document: Document, path: Path_, item: dict[str, Any] | None) -> Box | None:
        if item is None:
            return None
        piece = self.expression(document, (*path, "item"), item["item"])
        return Box(piece, item["why"], self.sentence(document, path, item))

    def _made_to(self, document: Document, path: Path_, item: dict[str, Any] | None) -> MadeTo | None:
        if item is None:
            return None
        value = self.expression(document, (*path, "value"), item["value"])
        return MadeTo(value, self.expression(document, (*path, "when"), item["when"]), item["unit"])

    def _slots(self, document: Document, path: Path_, item: dict[str, Any], root: str) -> Iterator[Slot]:
        if "slots" not in item:
            pieces = self.expression(document, (*path, "pieces"), item.get("pieces", 1))
            yield Slot("", item["id"], root, pieces, None, self._rules(document, path, item, "match"))
            return
        for index, slot in enumerate(item["slots"]):
            here = (*path, "slots", index)
            yield Slot(
                id=slot["id"],
                need=item["id"],
                root=root if index == 0 else f"{root}_{slot['id'].replace('-', '_')}",
                pieces=self.expression(document, (*here, "pieces"), slot["pieces"]),
                when=self.optional(document, (*here, "when"), slot.get("when")),
                match=self._rules(document, here, slot, "match"),
            )

    def _rules(self, document: Document, path: Path_, item: dict[str, Any], key: str) -> tuple[Rule, ...]:
        return tuple(self._rule(document, (*path, key, n), rule) for n, rule in enumerate(item.get(key, [])))

    def _rule(self, document: Document, path: Path_, rule: dict[str, Any]) -> Rule:
        return Rule(
            id=rule["id"],
            that=self.expression(document, (*path, "that"), rule["that"]),
            why=rule["why"],
            source=rule["source"],
            when=self.optional(document, (*path, "when"), rule.get("when")),
            severity=rule.get("severity", "STOP"),
            says=self.sentence(document, path, rule),
        )

    def _preference(self, document: Document, path: Path_, item: dict[str, Any]) -> Preference:
        return Preference(
            id=item["id"],
            why=item["why"],
            source=item["source"],
            that=self.optional(document, (*path, "that"), item.get("that")),
            least=self.optional(document, (*path, "least"), item.get("least")),
            when=self.optional(document, (*path, "when"), item.get("when")),
            offer=item.get("offer", ""),
            decline=item.get("decline", ""),
            first=item.get("first", False),
        )

    # ---- quantities, proofs, rules, labour -----------------------------------------------------------

    def named(self) -> dict[str, Named]:
        """The named quantities, in file order."""
        document = self.document("quantities.yaml", "quantities")
        named: dict[str, Named] = {}
        for path, item in self.items(document):
            self.once(named, item["id"], document, path)
            named[item["id"]] = Named(
                id=item["id"],
                title=item["title"],
                unit=item.get("unit", ""),
                expression=self.optional(document, (*path, "is"), item.get("is")),
                calculation=item.get("calculation", ""),
                output=item.get("output", ""),
                inputs=tuple(self._inputs(document, path, item)),
                sweep=self._sweep(document, (*path, "sweep"), item.get("sweep")),
                where=str(document.where(path)),
            )
        return named

    def _inputs(self, document: Document, path: Path_, item: dict[str, Any]) -> Iterator[NamedInput]:
        for name, value in item.get("inputs", {}).items():
            here = (*path, "inputs", name)
            text, unit = (value["is"], value["unit"]) if isinstance(value, dict) else (value, "")
            expression = self.expression(document, here, text)
            yield NamedInput(name, expression, unit or unit_of_name(expression.text))

    def _sweep(self, document: Document, path: Path_, item: dict[str, Any] | None) -> Sweep | None:
        if item is None:
            return None
        end = self.expression(document, (*path, "to"), item["to"])
        return Sweep(item["input"], end, item.get("unit") or unit_of_name(end.text))

    def proofs(self, attributes: Mapping[str, AttributeSchema]) -> dict[str, ProofRule]:
        """The proofs, in file order."""
        document = self.document("proofs.yaml", "proofs")
        proofs: dict[str, ProofRule] = {}
        for path, item in self.items(document):
            self.once(proofs, item["id"], document, path)
            proofs[item["id"]] = ProofRule(
                id=item["id"],
                title=item["title"],
                value=self.expression(document, (*path, "value"), item["value"]),
                unit=item["unit"],
                severity=item["severity"],
                source=item["source"],
                why=item["why"],
                at_least=self.optional(document, (*path, "at_least"), item.get("at_least")),
                at_most=self.optional(document, (*path, "at_most"), item.get("at_most")),
                when=self._once_measured(document, path, item, attributes),
                limit_source=item.get("limit_source", item["source"]),
                advice=item.get("advice", ""),
                formula=item.get("formula", item["value"] if isinstance(item["value"], str) else ""),
                says=self.sentence(document, path, item),
                remedies=tuple(
                    self._remedy(document, (*path, "remedies", n), remedy)
                    for n, remedy in enumerate(item.get("remedies", []))
                ),
                stage=item.get("stage", "order"),
                measured=tuple(item.get("measured", ())),
            )
        return proofs

    def _once_measured(
        self, document: Document, path: Path_, item: dict[str, Any], attributes: Mapping[str, AttributeSchema]
    ) -> Expression | None:
        """When a proof applies; one of a later stage not before one of its measurements is stated."""
        when = self.optional(document, (*path, "when"), item.get("when"))
        names = []
        for index, attribute in enumerate(item.get("measured", ())):
            if attribute in attributes:
                names.append(attributes[attribute].name_in_conditions)
            else:
                where = document.where((*path, "measured", index))
                self.complaints.add(where, "nothing of this name can be measured", attribute, "an attribute")
        if not names:
            return when
        stated = " || ".join(f"has(stated.{name})" for name in names)
        both = stated if when is None else f"({when.text}) && ({stated})"
        return self.expression(document, (*path, "measured"), both)

    def _remedy(self, document: Document, path: Path_, item: dict[str, Any]) -> RemedyRule:
        changes = []
        for name, value in item["change"].items():
            root, _, member = name.partition(".")
            changes.append(Change(root, member, self.expression(document, (*path, "change", name), value)))
        when = self.optional(document, (*path, "when"), item.get("when"))
        return RemedyRule(item["id"], item["text"], tuple(changes), when)

    def rules(self) -> tuple[Rule, ...]:
        """Rules that belong to no single need."""
        document = self.document("rules.yaml", "rules")
        return tuple(self._rule(document, path, rule) for path, rule in self.items(document, ("rules",)))

    def gates(self) -> tuple[Gate, ...]:
        """Gates before a quote."""
        document = self.document("rules.yaml", "rules")
        return tuple(
            Gate(
                id=item["id"],
                that=self.expression(document, (*path, "that"), item["that"]),
                severity=item["severity"],
                why=item["why"],
                source=item["source"],
                when=self.optional(document, (*path, "when"), item.get("when")),
                advice=item.get("advice", ""),
                says=self.sentence(document, path, item),
                offer=item.get("offer", ""),
            )
            for path, item in self.items(document, ("gates",))
        )

    def operations(self) -> dict[str, Operation]:
        """Labour operations, in file order."""
        document = self.document("operations.yaml", "operations")
        operations: dict[str, Operation] = {}
        for path, item in self.items(document):
            self.once(operations, item["code"], document, path)
            operations[item["code"]] = Operation(
                code=item["code"],
                what=item["what"],
                hours=Decimal(str(item["hours"])),
                when=self.expression(document, (*path, "when"), item["when"]),
                needs=tuple(item.get("needs", ())),
                excludes=tuple(item.get("excludes", ())),
                requires=tuple(item.get("requires", ())),
                note=item.get("note", ""),
            )
        return operations

    def notes(self, needs: Mapping[str, Need]) -> tuple[NoteRule, ...]:
        """What third persons must be told, in file order."""
        document = self.document("notes.yaml", "notes")
        notes: dict[str, NoteRule] = {}
        for path, item in self.items(document):
            self.once(notes, item["id"], document, path)
            if item["need"] not in needs:
                self.complaints.add(document.where((*path, "need")), "there is no such need", item["need"])
            notes[item["id"]] = NoteRule(
                id=item["id"],
                to=item["to"],
                says=compile_sentence(item["says"], document.where((*path, "says"))),
                why=item["why"],
                source=item["source"],
                need=item["need"],
                when=self.optional(document, (*path, "when"), item.get("when")),
            )
        return tuple(notes.values())

    def spreads(
        self, attributes: Mapping[str, AttributeSchema], parts: Mapping[str, Mapping[str, Any]]
    ) -> Spreads:
        """The assumed spreads."""
        return read_spreads(self.document("spreads.yaml", "spreads"), attributes, parts)

    def procedures(self, knowledge: Knowledge) -> tuple[Step, ...]:
        """The order of work, in file order; it may name only what the rest of the knowledge knows."""
        known = {
            "need": set(knowledge.needs),
            "operation": set(knowledge.operations),
            "caution": {str(caution["id"]) for caution in knowledge.cautions},
            "joint": {row.joint for table in knowledge.fasteners.values() for row in table.rows},
            "limit": {str(limit["id"]) for family in knowledge.families.values() for limit in family.limits},
            "proof": set(knowledge.proofs),
        }
        return read_procedures(self.document("procedures.yaml", "procedures"), known)

    # ---- the house book --------------------------------------------------------------------------------

    def book(self) -> ShopBook:
        """The house book."""
        document = self.document("shop.yaml", "shop")
        data = document.data
        packages = {
            name: self._package(document, name, package)
            for name, package in data["packages"].items()
            if name != "default"
        }
        default = data["packages"]["default"]
        if default not in packages:
            self.complaints.add(
                document.where(("packages", "default")), "no such package", default, " or ".join(packages)
            )
        return ShopBook(
            shop=data["shop"],
            money=data["money"],
            default_package=default,
            packages=packages,
            limits={name: float(value) for name, value in data["limits"].items()},
            evidence={name: Grade[value] for name, value in data["evidence"].items()},
            advice=data.get("advice", {}),
            work={name: Work(name, **stated) for name, stated in data.get("work", {}).items()},
        )

    def _package(self, document: Document, name: str, package: dict[str, Any]) -> Package:
        path: Path_ = ("packages", name)
        return Package(
            id=name,
            title=package["title"],
            renew={
                need: self.expression(document, (*path, "renew", need), text)
                for need, text in package.get("renew", {}).items()
            },
            prefer=tuple(
                (item["need"], self._preference(document, (*path, "prefer", n), item))
                for n, item in enumerate(package.get("prefer", []))
            ),
        )
