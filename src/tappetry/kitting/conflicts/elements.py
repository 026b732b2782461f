"""What a conflict can be made of: wishes of the customer, needs, rules, proofs and what the lists carry."""

from __future__ import annotations

from dataclasses import dataclass

#: Kinds of elements, in the order in which a conflict would rather be told: of two conflicts at one time
#: the one is named that lies nearer to what the customer wants, and that shows its arithmetic.
KINDS = (
    "pin",
    "own part",
    "refusal",
    "declined",
    "need by",
    "match",
    "proof",
    "rule",
    "fits",
    "check",
    "need",
    "catalogue",
    "whole packs",
    "box",
    "question",
)
#: The kinds of which a conflict is told by what is simplest.
ALIKE = frozenset({"proof", "match", "rule", "fits"})
#: The kinds that are the customer's to change.
WISHES = frozenset({"pin", "own part", "refusal", "declined", "need by"})
#: The kinds that say nothing but what their laws say.
LAWS = frozenset({"proof", "check", "match", "rule", "fits", "need"})


@dataclass(frozen=True, slots=True)
class Element:
    """One thing that a request can be relieved of: its kind, its id, and the slot of which it speaks.

    A pin and a refusal are named by the part's number; a need, what the lists carry for it, an own part
    and what is declined by the need; rules and proofs by their id. A check is a proof that the owner may
    sign away.
    """

    kind: str
    name: str
    root: str = ""

    @property
    def rank(self) -> int:
        """How much a conflict would rather be told by its kind (0 most); rules and proofs are alike."""
        return KINDS.index("match" if self.kind in ALIKE else self.kind)

    @property
    def place(self) -> tuple[int, str, str]:
        """Where it stands in a conflict."""
        return (KINDS.index(self.kind), self.name, self.root)


#: That the kit is needed by a date.
NEED_BY = Element("need by", "")
