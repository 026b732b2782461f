"""The parts that may stand in a slot of a solved kit in place of what does, the likeliest asked for first."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from tappetry.kitting.options import Option, Rejected, part_options
from tappetry.kitting.resolve import ordered_preferences, preferences_by_need
from tappetry.kitting.settled import Settled
from tappetry.knowledge.language import Unknown
from tappetry.records.part import Part

#: Why a person would ask for a part, the most likely first; most parts nobody asks for.
ASKED = ("wished", "offered", "factory", "")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part that may stand in a slot in place of what does, with others of its class or that fare the same.

    ``alone`` is the list price of the pieces wanted, less that of what was bought for the slot; ``same``
    says that it is of the class that was chosen. ``against`` is what spoke first against it on the way to the
    kit, and ``stage`` when that was: a ``misfit`` is for another engine, one that is ``barred`` falls to what
    was decided, whatever parts are chosen; ``beside`` is said of what falls to a rule beside other parts.
    """

    root: str
    part: Part
    alone: Decimal
    alike: tuple[str, ...] = ()
    asked: str = ""
    same: bool = False
    against: Rejected | None = None
    stage: str = ""

    @property
    def is_early(self) -> bool:
        """Whether it was ruled out before any part was chosen."""
        return self.stage in {"misfit", "barred"}


def candidates(settled: Settled, root: str) -> list[Candidate]:
    """The parts that the lists carry for a slot beside those that are bought.

    First what a person would ask for, then cheaper ones, then dearer ones, the nearest in price first; of the
    dearer ones those come last that fell to a rule. Parts of one class are one candidate, and so are parts
    that fell to one rule by themselves; of these only such are named that are cheaper or asked for.
    """
    return _Place(settled, root).candidates()


class _Place:
    """A slot of a kit, and the parts that may stand there."""

    def __init__(self, settled: Settled, root: str) -> None:
        self.settled = settled
        self.root = root
        self.request = settled.request
        self.state = settled.problem.slots[root]
        self.views = settled.problem.views(settled.solution.chosen)
        self.same = {identity_of(part) for part in settled.solution.chosen[root].parts}
        self.offered = {identity_of(p) for option in settled.problem.offered[root] for p in option.parts}
        self.against = {rejected.part: rejected for rejected in reversed(self.state.rejected)}
        self.preferred = {preference.id for _, preference in ordered_preferences(self.request)}

    def candidates(self) -> list[Candidate]:
        """The candidates in their order; those that are told as one together."""
        groups: dict[object, list[Candidate]] = {}
        bought = {number for _, number in self.settled.solution.units}
        listed = self.request.catalogue.candidates(self.state.need.id, self.request.fixed["engine"])
        for option in filter(self._belongs, part_options(listed)):
            for part in option.parts:
                found = None if part.number in bought else self._candidate(option, part)
                if found is not None and (not found.is_early or found.alone < 0 or found.asked):
                    groups.setdefault(self._group(option, found), []).append(found)
        return sorted((_together(members) for members in groups.values()), key=_order)

    def _belongs(self, option: Option) -> bool:
        """Whether a class is of the kind that the slot was made for, where there is a slot for each kind."""
        each = self.state.need.one_of_each
        if each is None:
            return True
        kinds = {o.view.get(each.attribute) for o in self.settled.problem.offered[self.root] if o.parts}
        return option.view.get(each.attribute) in kinds

    def _candidate(self, option: Option, part: Part) -> Candidate | None:
        """A part as a candidate; None where nobody can say how many are wanted, or none is."""
        alone = self._alone(option, part)
        if alone is None:
            return None
        return Candidate(
            root=self.root,
            part=part,
            alone=alone,
            asked=self._asked(option, part),
            same=identity_of(part) in self.same,
            against=self.against.get(part.number),
            stage=self._stage(part),
        )

    def _alone(self, option: Option, part: Part) -> Decimal | None:
        """What the pieces wanted cost as this part, less what is spent on the slot."""
        problem, solution = self.settled.problem, self.settled.solution
        try:
            pieces = problem.pieces(self.root, {**self.views, self.root: option.view})
        except Unknown:
            return None
        units = -(-pieces // part.pieces_for(self.state.need.id))
        bought = self.settled.bought(self.root)
        spent = sum((other.price * solution.units[identity_of(other)] for other in bought), Decimal(0))
        return part.price * units - spent if units else None

    def _asked(self, option: Option, part: Part) -> str:
        """Why a person would ask for a part: a wish, an offer, or that such a one stands there."""
        if part.number in self.request.plan.wishes:
            return "wished"
        if identity_of(part) in self.same:
            return ""
        need, views = self.state.need, {**self.views, self.root: option.view}
        for preference in preferences_by_need(self.request).get(need.id, ()):
            if preference.offer and self.settled.problem.values.maybe(preference.that, views) is True:
                return "offered"
        found = self.request.found.get(need.id, {})
        is_found = found and all(option.view.get(name) == value for name, value in found.items())
        return "factory" if is_found else ""

    def _stage(self, part: Part) -> str:
        """When a rule spoke against a part; nothing of one that only a preference spoke against."""
        against = self.against.get(part.number)
        if against is None:
            return ""
        if identity_of(part) not in self.offered:
            reads = (name for name, _ in self.settled.problem.values.facts(against.read))
            return "barred" if any(name.startswith("plan.") for name in reads) else "misfit"
        return "" if against.rule in self.preferred else "beside"

    def _group(self, option: Option, candidate: Candidate) -> object:
        """What candidates have in common that are told as one."""
        refused = candidate.part.number in self.request.plan.refused_parts
        early = candidate.against if candidate.is_early else None
        return refused, option.key if early is None else early.rule


def _together(members: list[Candidate]) -> Candidate:
    """Candidates that are told as one."""
    first, *others = sorted(members, key=_order)
    return replace(first, alike=tuple(other.part.number for other in others))


def _order(candidate: Candidate) -> tuple[int, bool, bool, Decimal, str, str]:
    part = candidate.part
    dearer = candidate.alone >= 0
    return (
        ASKED.index(candidate.asked),
        dearer,
        dearer and candidate.stage == "beside",
        abs(candidate.alone),
        part.supplier,
        part.number,
    )


def identity_of(part: Part) -> tuple[str, str]:
    """What a part is known by: supplier and number."""
    return part.supplier, part.number
