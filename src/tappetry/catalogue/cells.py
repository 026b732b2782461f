"""The cells of a list of parts that hold several values: fills, fits, attributes, contents."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from tappetry.catalogue.attributes import (
    PartAttribute,
    ValueProblem,
    closest,
    plain_text,
    spread_text,
    value_text,
)
from tappetry.records.evidence import Value
from tappetry.records.part import Content, Fill

FILL = re.compile(r"(?P<need>[^:()]+?)\s*:\s*(?P<pieces>[^()]*?)\s*(?:\((?P<attributes>[^()]*)\))?")
CONTENT = re.compile(r"(?P<pieces>[0-9]+) x (?P<item>[^()]+?)\s*(?:\((?P<attributes>[^()]*)\))?")
WHOLE_POSITIVE = re.compile(r"0*[1-9][0-9]*")


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong in a cell: where in it, what was read, what was expected."""

    field: str
    message: str
    value: str
    expected: str


@dataclass(frozen=True, slots=True)
class Cells:
    """Reads cells; needs and attributes that nobody knows are faults."""

    attributes: Mapping[str, PartAttribute]
    needs: frozenset[str]
    engine: frozenset[str]

    def pairs(
        self, text: str, faults: list[Fault], parted_by: str = ";", name: str = "attributes"
    ) -> dict[str, Value]:
        """``k=v; k=v`` as values by attribute."""
        values: dict[str, Value] = {}
        for piece in split(text, parted_by):
            key, sign, written = (word.strip() for word in piece.partition("="))
            here = f"{name}.{key}"
            if not sign:
                faults.append(Fault(name, "a value without its attribute", piece, "attribute=value"))
            elif key not in self.attributes:
                near = closest(key, self.attributes)
                faults.append(
                    Fault(
                        here,
                        "there is no such attribute",
                        key,
                        f"did you mean {near}?" if near else "a known one",
                    )
                )
            elif key in values:
                faults.append(Fault(here, "the attribute stands twice", piece, "each attribute once"))
            else:
                try:
                    values[key] = self.attributes[key].read(written)
                except ValueProblem as problem:
                    faults.append(Fault(here, problem.message, written, problem.expected))
        return values

    def attribute_cell(self, text: str) -> tuple[Mapping[str, Value], tuple[Fault, ...]]:
        """The cell ``attributes``."""
        faults: list[Fault] = []
        return self.pairs(text, faults), tuple(faults)

    def spreads(self, text: str) -> Mapping[str, tuple[float, float]]:
        """The tolerances that stand in the cell ``attributes``, once it is known that it can be read."""
        found = {}
        for piece in split(text, ";"):
            key, _, written = (word.strip() for word in piece.partition("="))
            spread = self.attributes[key].spread(written)
            if spread is not None:
                found[key] = spread
        return found

    def fill_cell(self, text: str) -> tuple[tuple[Fill, ...], tuple[Fault, ...]]:
        """The cell ``fills``: ``need:pieces(attribute=value|attribute=value); ...``."""
        fills: list[Fill] = []
        faults: list[Fault] = []
        for piece in split(text, ";"):
            found = FILL.fullmatch(piece)
            if found is None:
                faults.append(
                    Fault("fills", "cannot be read", piece, "need:pieces or need:pieces(attribute=value)")
                )
                continue
            need, pieces = found["need"], found["pieces"]
            here = f"fills.{need}"
            if need not in self.needs:
                near = closest(need, self.needs)
                expected = f"did you mean {near}?" if near else "a known need"
                faults.append(Fault(here, "there is no such need", need, expected))
            elif any(fill.need == need for fill in fills):
                faults.append(Fault(here, "the need stands twice", piece, "each need once"))
            elif not WHOLE_POSITIVE.fullmatch(pieces):
                faults.append(Fault(here, "the pieces are no count", pieces, "a whole number of at least 1"))
            else:
                values = self.pairs(joined_lists(found["attributes"] or ""), faults, ";", here)
                fills.append(Fill(need, int(pieces), values))
        return tuple(fills), tuple(faults)

    def fits_cell(self, text: str) -> tuple[Mapping[str, tuple[str, ...]], tuple[Fault, ...]]:
        """The cell ``fits``: ``attribute=value|value; ...`` of the engine."""
        fits: dict[str, tuple[str, ...]] = {}
        faults: list[Fault] = []
        for piece in split(text, ";"):
            key, sign, written = (word.strip() for word in piece.partition("="))
            here = f"fits.{key}"
            values = tuple(value.strip() for value in written.split("|"))
            if not sign or not all(values):
                faults.append(
                    Fault("fits", "cannot be read", piece, "attribute=value or attribute=value|value")
                )
            elif key not in self.engine:
                near = closest(key, self.engine)
                expected = (
                    f"did you mean {near}?" if near else "one that is a choice, a text, a count or a truth"
                )
                faults.append(Fault(here, "no such attribute of an engine", key, expected))
            elif key in fits:
                faults.append(Fault(here, "the attribute stands twice", piece, "each attribute once"))
            else:
                fits[key] = values
        return fits, tuple(faults)

    def content_cell(self, text: str) -> tuple[tuple[Content, ...], tuple[Fault, ...]]:
        """The cell ``contents``: ``10 x bolt(length_mm=140); ...``."""
        contents: list[Content] = []
        faults: list[Fault] = []
        for piece in split(text, ";"):
            found = CONTENT.fullmatch(piece)
            if found is None or int(found["pieces"]) == 0:
                faults.append(
                    Fault("contents", "cannot be read", piece, "10 x bolt or 10 x bolt(attribute=value)")
                )
                continue
            here = f"contents.{found['item']}"
            values = self.pairs(joined_lists(found["attributes"] or ""), faults, ";", here)
            contents.append(Content(found["item"], int(found["pieces"]), values))
        return tuple(contents), tuple(faults)


def split(text: str, sign: str) -> list[str]:
    """The pieces between parting signs, without space around them; a sign at the end parts nothing."""
    pieces = [piece.strip() for piece in text.split(sign)]
    return pieces[:-1] if pieces[-1] == "" else pieces


def joined_lists(text: str) -> str:
    """Values in brackets as the cell ``attributes`` writes them: what has no ``=`` goes on a list."""
    joined = ""
    for piece in split(text, "|"):
        sign = "" if not joined else ("; " if "=" in piece else "|")
        joined += sign + piece
    return joined


# ---- writing --------------------------------------------------------------------------------------------


def attribute_text(
    attributes: Mapping[str, Value],
    sign: str = "; ",
    spreads: Mapping[str, tuple[float, float]] | None = None,
) -> str:
    """The cell ``attributes``."""
    stated = spreads or {}
    return sign.join(
        f"{name}={value_text(value)}{spread_text(stated.get(name))}" for name, value in attributes.items()
    )


def fill_text(fills: tuple[Fill, ...]) -> str:
    """The cell ``fills``."""
    return "; ".join(f"{fill.need}:{fill.pieces}{_bracket(fill.attributes)}" for fill in fills)


def fits_text(fits: Mapping[str, tuple[str, ...]]) -> str:
    """The cell ``fits``."""
    return "; ".join(f"{name}={'|'.join(plain_text(v) for v in values)}" for name, values in fits.items())


def content_text(contents: tuple[Content, ...]) -> str:
    """The cell ``contents``."""
    return "; ".join(
        f"{content.pieces} x {plain_text(content.item, ';()')}{_bracket(content.attributes)}"
        for content in contents
    )


def _bracket(attributes: Mapping[str, Value]) -> str:
    return f"({attribute_text(attributes, '|')})" if attributes else ""
