"""All that the suppliers sell, as one immutable whole: parts by need, successors, where a part is used."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cached_property
from typing import Any

from tappetry.catalogue.attributes import PartAttribute
from tappetry.catalogue.classes import Fits, NeedIndex, PartClass, fact_name, fits_engine, seen_attributes
from tappetry.catalogue.columns import SOLD
from tappetry.catalogue.identity import Identity, identity, normal
from tappetry.catalogue.writer import part_row
from tappetry.records.family import Tables
from tappetry.records.kit import Kit
from tappetry.records.part import Part, Supplier
from tappetry.records.problems import BadInput, Where

CLOSE = 3


@dataclass(frozen=True, slots=True)
class WhereUsed:
    """What hangs on a part: before it is dropped, somebody looks at this.

    ``alone_for`` are the needs for which no other part of its class can be ordered, ``successor_of`` the
    numbers that it replaces, ``jobs`` those whose kit holds it.
    """

    needs: tuple[str, ...]
    alone_for: tuple[str, ...]
    successor_of: tuple[str, ...]
    jobs: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Catalogue:
    """Parts and suppliers of a shop.

    Parameters
    ----------
    parts : tuple of Part
        Each number once for its supplier.
    suppliers : mapping of str to Supplier
        By code.
    attributes : mapping of str to PartAttribute, optional
        What the parts may state; which attributes do not tell parts apart.
    tables : mapping, optional
        What the shop knows by the value of an attribute: the grind of a camshaft gives its lift.
    """

    parts: tuple[Part, ...]
    suppliers: Mapping[str, Supplier]
    attributes: Mapping[str, PartAttribute] = field(default_factory=dict)
    tables: Tables = field(default_factory=dict)

    @cached_property
    def version(self) -> str:
        """A short mark of the content: the same parts, suppliers and tables, the same mark."""
        digest = hashlib.sha256()
        for row in sorted(part_row(part) for part in self.parts):
            digest.update("\x1f".join(row).encode() + b"\n")
        suppliers = sorted(str(supplier) for supplier in self.suppliers.values())
        digest.update(json.dumps([suppliers, self.tables], sort_keys=True, default=str).encode())
        return digest.hexdigest()[:12]

    # ---- parts by number -----------------------------------------------------------------------------

    @cached_property
    def _by_identity(self) -> dict[Identity, Part]:
        return {identity(part.supplier, part.number): part for part in self.parts}

    @cached_property
    def _by_number(self) -> dict[str, list[Part]]:
        numbers: dict[str, list[Part]] = {}
        for part in self.parts:
            numbers.setdefault(normal(part.number), []).append(part)
        return numbers

    def find(self, supplier: str, number: str) -> Part | None:
        """The part of a supplier, however its number is punctuated."""
        return self._by_identity.get(identity(supplier, number))

    def numbered(self, number: str) -> tuple[Part, ...]:
        """Every supplier's part of a number; two suppliers may use one number for different goods."""
        return tuple(self._by_number.get(normal(number), ()))

    def carries(self, number: str) -> bool:
        """Whether a part of exactly this number can be ordered."""
        return any(part.number == number and self._sold(part) for part in self.numbered(number))

    def close_numbers(self, number: str) -> list[str]:
        """Numbers that can be ordered and may be meant: what replaces it, its own spelling, near ones."""
        found = [
            part.number for known in self.numbered(number) if (part := self.orderable(known)) is not None
        ]
        near = get_close_matches(normal(number), self._by_number, n=CLOSE, cutoff=0.75)
        found += [part.number for key in near for part in self._by_number[key] if self._sold(part)]
        return list(dict.fromkeys(found))[:CLOSE]

    # ---- supersession --------------------------------------------------------------------------------

    @staticmethod
    def _sold(part: Part) -> bool:
        """Whether the part itself can be ordered: it is sold, and not at nothing."""
        return part.status in SOLD and part.price > 0

    def orderable(self, part: Part) -> Part | None:
        """The part to order: itself, or the one that replaces it in the end; None when there is none.

        Raises
        ------
        BadInput
            The supersessions go round in a circle.
        """
        chain = [part]
        while not self._sold(chain[-1]):
            following = self.successor(chain[-1])
            if following is None:
                return None
            chain.append(following)
            if following in chain[:-1]:
                numbers = " -> ".join(link.number for link in chain)
                raise BadInput.at(
                    Where(field="superseded_by"),
                    "the supersessions go round in a circle",
                    numbers,
                    "a part that is sold",
                )
        return chain[-1]

    def successor(self, part: Part) -> Part | None:
        """The part that a supplier's list names in its place."""
        return self.find(part.supplier, part.superseded_by) if part.superseded_by else None

    @staticmethod
    def stock_usable(part: Part) -> bool:
        """Whether stock on the shelf may be fitted: a superseded part may, a discontinued one may not."""
        return part.status != "discontinued"

    # ---- parts by need -------------------------------------------------------------------------------

    @cached_property
    def _by_need(self) -> dict[str, list[Part]]:
        needs: dict[str, list[Part]] = {}
        for part in self.parts:
            if self._sold(part):
                for fill in part.fills:
                    needs.setdefault(fill.need, []).append(part)
        return needs

    @cached_property
    def _indices(self) -> dict[str, NeedIndex]:
        return {}

    def _index(self, need: str) -> NeedIndex:
        if need not in self._indices:
            self._indices[need] = NeedIndex.of(need, self.parts_for(need), self.attributes, self.tables)
        return self._indices[need]

    def parts_for(self, need: str) -> tuple[Part, ...]:
        """Every part that fills a need and can be ordered."""
        return tuple(self._by_need.get(need, ()))

    def parts_by_engines(self, need: str) -> Mapping[Fits, tuple[Part, ...]]:
        """The same parts, by what they state of the engines that they fit."""
        return self._index(need).parts

    def classes(self, need: str) -> tuple[PartClass, ...]:
        """The classes of a need, for all engines."""
        return tuple(self._index(need).classes())

    def candidates(self, need: str, engine: Mapping[str, Any]) -> Iterator[PartClass]:
        """The classes of a need with the parts that are known to fit an engine.

        Parameters
        ----------
        engine : mapping of str to value
            The known facts, by the names that conditions use.
        """
        return self._index(need).classes(engine)

    def unsure(self, need: str, engine: Mapping[str, Any]) -> Iterator[PartClass]:
        """The classes of a need with the parts that may fit an engine once a fact about it is known."""
        return self._index(need).unsure(engine)

    def open_facts(self, need: str, engine: Mapping[str, Any]) -> tuple[str, ...]:
        """The facts that are not known and would let in or leave out parts for a need."""
        names = {
            fact_name(attribute)
            for fits in self._index(need).by_fits
            if fits_engine(fits, engine) is None
            for attribute, _ in fits
        }
        return tuple(sorted(name for name in names if engine.get(name) is None))

    def facts_asked(self, need: str) -> tuple[str, ...]:
        """The facts about an engine by which parts for a need are told to fit it."""
        return self._index(need).facts_asked

    def seen_attributes(self, part: Part, need: str) -> dict[str, Any]:
        """What conditions see of a part that fills a need."""
        return seen_attributes(part, need, self.attributes, self.tables)

    # ---- where used ----------------------------------------------------------------------------------

    def where_used(self, part: Part, kits: Iterable[Kit] = ()) -> WhereUsed:
        """What hangs on a part: needs, the numbers it replaces, and the jobs whose kits hold it."""
        return WhereUsed(
            needs=tuple(fill.need for fill in part.fills),
            alone_for=tuple(fill.need for fill in part.fills if self._alone(part, fill.need)),
            successor_of=tuple(other.number for other in self.parts if self.successor(other) is part),
            jobs=tuple(
                kit.job
                for kit in kits
                if any((line.supplier, line.part) == (part.supplier, part.number) for line in kit.lines)
            ),
        )

    def _alone(self, part: Part, need: str) -> bool:
        return any(group.parts == (part,) for group in self.classes(need))
