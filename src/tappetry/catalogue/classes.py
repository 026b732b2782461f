"""Parts that are equal in all that matters to a need: one class, whatever their pack, price or supplier."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, NamedTuple

from tappetry.catalogue.attributes import PartAttribute
from tappetry.records.evidence import Value
from tappetry.records.family import Tables, key_text, with_tables
from tappetry.records.part import Part

Fits = tuple[tuple[str, tuple[str, ...]], ...]


class PartClass(NamedTuple):
    """What conditions see of the parts of one class, and the parts, by supplier and number."""

    attributes: Mapping[str, Any]
    parts: tuple[Part, ...]

    @property
    def lead_days(self) -> int:
        """Working days until the first of them can be here."""
        return min(part.lead_days for part in self.parts)


def seen_attributes(
    part: Part, need: str, attributes: Mapping[str, PartAttribute], tables: Tables
) -> dict[str, Any]:
    """What conditions see of a part that fills a need.

    Its own attributes, on top of what a table of the shop knows by one of them; ``contents``, the kinds of
    piece in a box that fills this need alone, and ``core_billed``, that a core charge is billed. Attributes
    that are not technical are not seen.
    """
    seen = {
        name: as_seen(value)
        for name, value in with_tables(part.attributes_for(need), tables).items()
        if name not in attributes or attributes[name].technical
    }
    if part.contents and len(part.fills) == 1:
        seen["contents"] = [
            {"item": c.item, **{n: as_seen(v) for n, v in c.attributes.items()}} for c in part.contents
        ]
    if part.core_charge:
        seen["core_billed"] = True
    return seen


def as_seen(value: Value | list[str]) -> Any:
    """A value as conditions see it: numbers as doubles, several values as a list."""
    if isinstance(value, bool):
        return value
    if isinstance(value, int | float):
        return float(value)
    return list(value) if isinstance(value, tuple) else value


def fits_engine(fits: Iterable[tuple[str, tuple[str, ...]]], engine: Mapping[str, Any]) -> bool | None:
    """Whether an engine is among those a part fits: yes, no, or None while a fact is not known."""
    result: bool | None = True
    for attribute, allowed in fits:
        value = engine.get(fact_name(attribute))
        if value is None:
            result = None
        elif not {key_text(v) for v in (value if isinstance(value, list) else [value])} & set(allowed):
            return False
    return result


def fact_name(attribute: str) -> str:
    """The name under which conditions know an attribute of the engine."""
    return attribute.replace("-", "_")


@dataclass
class NeedIndex:
    """The classes of one need, kept apart by the engines that they fit."""

    attributes: list[Mapping[str, Any]] = field(default_factory=list)
    by_fits: dict[Fits, dict[int, list[Part]]] = field(default_factory=dict)
    _found: dict[tuple[str, ...], tuple[list[PartClass], list[PartClass]]] = field(default_factory=dict)

    @classmethod
    def of(
        cls, need: str, parts: Iterable[Part], attributes: Mapping[str, PartAttribute], tables: Tables
    ) -> NeedIndex:
        """Sort parts into classes; the order of the parts does not matter."""
        index = cls()
        known: dict[Hashable, int] = {}
        for part in sorted(parts, key=lambda part: (part.supplier, part.number)):
            seen = seen_attributes(part, need, attributes, tables)
            number = known.setdefault(_hashable(seen), len(index.attributes))
            if number == len(index.attributes):
                index.attributes.append(seen)
            index.by_fits.setdefault(tuple(part.fits.items()), {}).setdefault(number, []).append(part)
        return index

    @cached_property
    def facts_asked(self) -> tuple[str, ...]:
        """The facts by which a part is told to fit an engine."""
        return tuple(sorted({fact_name(attribute) for fits in self.by_fits for attribute, _ in fits}))

    @cached_property
    def parts(self) -> dict[Fits, tuple[Part, ...]]:
        """The parts of all classes, by the engines that they fit."""
        return {
            fits: tuple(part for parts in classes.values() for part in parts)
            for fits, classes in self.by_fits.items()
        }

    def classes(self, engine: Mapping[str, Any] | None = None) -> Iterator[PartClass]:
        """The classes, with the parts that are known to fit an engine; without an engine, all."""
        if engine is None:
            return self._with(self.by_fits)
        return iter(self._known(engine)[0])

    def unsure(self, engine: Mapping[str, Any]) -> Iterator[PartClass]:
        """The classes, with the parts that may fit an engine once a fact about it is known."""
        return iter(self._known(engine)[1])

    def _known(self, engine: Mapping[str, Any]) -> tuple[list[PartClass], list[PartClass]]:
        """The classes that are known to fit an engine, and those that may; the same for equal engines."""
        key = tuple([repr(engine.get(name)) for name in self.facts_asked])
        if key not in self._found:
            fitting = {fits: fits_engine(fits, engine) for fits in self.by_fits}
            self._found[key] = (
                list(self._with(fits for fits, fit in fitting.items() if fit)),
                list(self._with(fits for fits, fit in fitting.items() if fit is None)),
            )
        return self._found[key]

    def _with(self, wanted: Iterable[Fits]) -> Iterator[PartClass]:
        found: dict[int, list[Part]] = {}
        for fits in wanted:
            for number, parts in self.by_fits[fits].items():
                found.setdefault(number, []).extend(parts)
        for number in sorted(found):
            parts = sorted(found[number], key=lambda part: (part.supplier, part.number))
            yield PartClass(self.attributes[number], tuple(parts))


def _hashable(value: Any) -> Hashable:
    if isinstance(value, list):
        return tuple(_hashable(item) for item in value)
    if isinstance(value, dict):
        return tuple(sorted((name, type(item).__name__, _hashable(item)) for name, item in value.items()))
    return value  # type: ignore[no-any-return]
