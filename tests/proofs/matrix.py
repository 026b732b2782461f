"""The result matrix from the invented shop's own text: an engine, parts of the lists, what they come to."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tappetry.assembly.roots import plain
from tappetry.assembly.values import Values
from tappetry.kitting.checker.layout import part_view, standing_view
from tappetry.proofs.margins import prove
from tappetry.records.verdict import Proof
from tappetry.services.kits import identify_job, request_of
from tests.kitting.support import Ask, demo

View = dict[str, Any]

#: An application in which each engine of the matrix stands, and the one that has a phaser where two differ.
STANDS_IN = {
    "B51": "A01", "B56": "A06", "B63L": "A08", "B63R": "A11", "B67": "A12", "OS39": "OS-E", "ML55": "ML-E",
}  # fmt: skip
#: The matrix speaks of the standard cylinders of an engine, as if it had no other.
DEACT = {"A06": "remove", "A11": "remove"}
#: Parts that belong to a spring, beside the spring itself.
RETAINERS = {"S3": "QS-R30.16", "S4": "QS-R41.16", "S6": "QS-R60.01"}
DUAL_SEAT = "QS-B14.16"


class Bench:
    """An engine of the invented shop with the parts that are put on it; the rest stands as found."""

    def __init__(
        self, application: str, phaser: str = "none", facts: Mapping[str, Any] | None = None, **plan: Any
    ) -> None:
        ask = Ask(
            application,
            "any",
            phaser,
            DEACT.get(application, "none"),
            facts=dict(facts or {}),
            plan=dict(plan),
        )
        shop = demo()
        job = ask.job()
        request = request_of(shop, job, identify_job(shop, job))
        self.knowledge = request.knowledge
        self.values = Values(request.knowledge, request.fixed)
        self.views: dict[str, View] = {
            need.root: standing_view("reuse", request.found.get(need.id, {}), "", renewed=False)
            for need in request.knowledge.needs.values()
        }

    def put(self, need: str, number: str) -> Bench:
        """A part of the lists in the place of a need."""
        stated = self.knowledge.needs[need]
        part = next(part for part in demo().catalogue.parts if part.number == number)
        self.views[stated.root] = part_view(self.knowledge, part, stated)
        return self

    def new(self, need: str, **attributes: Any) -> Bench:
        """Something new in the place of a need, by its attributes."""
        root = self.knowledge.needs[need].root
        self.views[root] = standing_view("new", attributes, "", renewed=True)
        return self

    def gone(self, need: str) -> Bench:
        """Nothing in the place of a need."""
        root = self.knowledge.needs[need].root
        self.views[root] = standing_view("none", {}, "", renewed=False)
        return self

    def grind(self, name: str) -> Bench:
        """A camshaft of this grind, on the core that the list carries, or as the factory made it."""
        cores = [part for part in demo().catalogue.parts if part.attributes.get("grind") == name]
        if cores:
            return self.put("camshaft", cores[0].number)
        row = {key: plain(value) for key, value in self.knowledge.tables["grind"][name].items()}
        return self.new("camshaft", **{**self.views["camshaft"], **row})

    def spring(self, name: str) -> Bench:
        """A spring with its retainer and, for a dual one, its seat; ``production`` is the factory's."""
        if not name.startswith("production"):
            numbers = {
                part.attributes["spring"]: part.number
                for part in demo().catalogue.parts
                if "spring" in part.attributes
            }
            self.put("valve-springs", numbers[name])
            self.put("spring-retainers", RETAINERS.get(name, "QS-R10.16"))
        return self.put("spring-seats", DUAL_SEAT) if name == "S4" else self.gone("spring-seats")

    def number(self, name: str) -> float:
        """A named value."""
        return float(self.values.named(name, self.views))

    def proof(self, name: str) -> Proof:
        """A proof that applies."""
        made = prove(self.values, self.knowledge.proofs[name], self.views, {}, {})
        assert made is not None, f"{name} does not apply"
        return made

    def silent(self, name: str) -> bool:
        """Whether a proof does not apply."""
        return prove(self.values, self.knowledge.proofs[name], self.views, {}) is None


def bench(name: str, cam: str, phaser: str = "none") -> Bench:
    """An engine of the matrix with a camshaft of this grind."""
    return Bench(STANDS_IN[name], phaser).grind(cam)
