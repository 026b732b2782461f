"""How a slot may stand, given what stands in the others: settled in one way, or open between several."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from tappetry.assembly.values import UNDECIDED, Values
from tappetry.kitting.options import RENEWED, Option
from tappetry.knowledge.language import Expression, Unknown
from tappetry.knowledge.model import Need, Rule, Slot

Views = Mapping[str, Mapping[str, Any]]
#: The way in which a slot stands that is not there.
NOT_THERE = "none/None"
#: Begins the way in which an open slot stands; the ways between which it is open follow.
OPEN = "open: "
#: What tells how an option stands, not what it is.
STANCE = frozenset({"key", "state", "standing"})


@dataclass(frozen=True, slots=True)
class Due:
    """The ways in which a slot may stand; settled when one is left and all is known about it."""

    ways: frozenset[str]
    settled: bool

    @property
    def standing(self) -> str:
        """The way of the option that must stand there; of an open one all that are possible."""
        (first, *_) = ways = sorted(self.ways)
        return first if self.settled else OPEN + " or ".join(ways)


@dataclass(slots=True)
class Standing:
    """What the conditions of one slot leave possible.

    ``options`` are all ways to fill it that pass what is known of them alone, ``unsure`` the parts of
    which that is not known, ``bought`` the ways in which a renewal is met. ``matches`` are the rules for
    new parts that have to be looked at: those that may say nothing, for want of a fact or of what stands
    in another slot.
    """

    values: Values
    slot: Slot
    need: Need
    renew: Expression
    renewed_anyhow: bool
    declined: bool
    options: Sequence[Option]
    unsure: Sequence[Option]
    bought: frozenset[str]
    otherwise: str
    counting: bool = False
    matches: tuple[Rule, ...] = ()
    _open: dict[frozenset[str], Option] = field(default_factory=dict)

    @property
    def root(self) -> str:
        """The name of the slot in conditions."""
        return self.slot.root

    @property
    def conditions(self) -> tuple[Expression | None, ...]:
        """What decides whether the slot is there and renewed."""
        return (self.need.when, self.slot.when, self.renew)

    def reads(self) -> dict[str, frozenset[str]]:
        """What the slot's standing hangs on.

        Pieces and rules are tried with each option of the slot in turn: of the slot itself they read nothing.
        """
        found = self.values.reads(self.conditions)
        also = [self.values.reads([self.slot.pieces])] if self.counting else []
        also += [read_by(self.values, rule) for rule in self.matches]
        for reads in also:
            for root, members in reads.items():
                if root != self.root:
                    found[root] = found.get(root, frozenset()) | members
        return found

    # ---- what is due -------------------------------------------------------------------------------

    def due(self, views: Views) -> Due:
        """What must stand there, with the views of all slots that are read."""
        ways = self._ways(views)
        if len(ways) > 1:
            return Due(ways, settled=False)
        here = [option for option in self.options if option.view["standing"] in ways]
        if not here:
            return Due(ways, settled=not any(option.view["standing"] in ways for option in self.unsure))
        if here[0].state == "none":
            return Due(ways, settled=True)
        return Due(ways, settled=self._counted(here[0], views) and not self._fit_unknown(here, views))

    def question(self, views: Views) -> Due | None:
        """What the slot is open between; None where something that could stand there settles it.

        Where the standing hangs on what stands in the slot itself, the old part asks first: while it is
        not known whether that may stay, a new one is no answer that brings its own reason along.
        """
        if self.root not in self.values.reads(self.conditions):
            due = self.due(views)
            return None if due.settled else due
        tried = [(option, self.due({**views, self.root: option.view})) for option in self.options]
        ways = frozenset(way for _, due in tried for way in due.ways)
        if any(not due.settled for option, due in tried if option.key == self.otherwise):
            return Due(ways, settled=False)
        if all(due.settled for _, due in tried):
            return None
        settles = any(due.settled and option.view["standing"] in due.ways for option, due in tried)
        return None if settles else Due(ways, settled=False)

    def _ways(self, views: Views) -> frozenset[str]:
        there = _all(self.values.maybe(condition, views) for condition in (self.need.when, self.slot.when))
        if there is False:
            return frozenset({NOT_THERE})
        renew = False if self.declined else self.renewed_anyhow or self.values.maybe(self.renew, views)
        if there is None and renew is False and self.need.otherwise == "none":
            return frozenset({self.otherwise})
        ways = frozenset() if there else frozenset({NOT_THERE})
        if renew is not True:
            ways |= {self.otherwise}
        if renew is not False:
            ways |= self.bought
        return ways

    def _counted(self, option: Option, views: Views) -> bool:
        """Whether the number of pieces is known with an option in the slot."""
        if not self.counting:
            return True
        try:
            self.values.number(self.slot.pieces, {**views, self.root: option.view})
        except Unknown:
            return False
        return True

    def _fit_unknown(self, options: Iterable[Option], views: Views) -> bool:
        """Whether no new part is known to fit its neighbours, and of some it is not known."""
        if not self.matches:
            return False
        verdicts = [self.fits(option, views) for option in options if option.state in RENEWED]
        return bool(verdicts) and True not in verdicts and None in verdicts

    def fits(self, option: Option, views: Views) -> bool | None:
        """Whether a new part is known to meet the rules that have to be looked at."""
        seen = {**views, self.root: option.view}
        return _all(suits(self.values, rule, self.root, seen) for rule in self.matches)

    # ---- the open slot -----------------------------------------------------------------------------

    def open_option(self, due: Due) -> Option:
        """The slot as an open question: conditions see what all its possible answers have alike."""
        if due.ways not in self._open:
            answers = tuple(o for o in (*self.options, *self.unsure) if o.view["standing"] in due.ways)
            seen = alike([option.view for option in answers])
            view = {**seen, "key": due.standing, "state": "open", "standing": due.standing}
            self._open[due.ways] = Option("open", view, key=due.standing, answers=answers)
        return self._open[due.ways]


def obeyed(values: Values, rule: Rule, views: Views) -> bool | None:
    """Whether a rule holds; None where it is not known whether it applies, or whether it holds."""
    applies = values.maybe(rule.when, views)
    if applies is False:
        return True
    holds = values.maybe(rule.that, views)
    if holds is True:
        return True
    return False if applies is True and holds is False else None


def read_by(values: Values, rule: Rule) -> dict[str, frozenset[str]]:
    """What a rule for new parts reads of the slots; of each also whether anything stands there."""
    return {root: members | {"fitted"} for root, members in values.reads(said_by(rule)).items()}


def suits(values: Values, rule: Rule, root: str, views: Views) -> bool | None:
    """Whether the new part in a slot meets a rule; one that states too little to be judged does not.

    A rule says nothing where it compares with what does not stand there.
    """
    verdict = obeyed(values, rule, views)
    if verdict is not None or _hangs_elsewhere(values, rule, root, views):
        return verdict
    return not unstated(values, rule, root, views)


def unstated(values: Values, rule: Rule, root: str, views: Views) -> str:
    """The attribute for want of which a rule says nothing of a part; empty when it lies elsewhere.

    While a fact is missing, or another slot does not state what the rule reads of it, the part is not to
    blame: once that is known the rule may hold without the attribute.
    """
    if obeyed(values, rule, views) is not None or _hangs_elsewhere(values, rule, root, views):
        return ""
    for expression in said_by(rule):
        try:
            values.evaluate(expression, views)
        except Unknown as unknown:
            return unknown.key if unknown.root == root and unknown.key not in views[root] else ""
    return ""


def _hangs_elsewhere(values: Values, rule: Rule, root: str, views: Views) -> bool:
    """Whether a fact is missing for a rule, or something that stands in another slot says too little."""
    said = said_by(rule)
    if any(values.lacks_a_fact(expression) for expression in said):
        return True
    needed = values.needed(said)
    for other, members in values.reads(said).items():
        state = views[other]["state"]
        # An open slot may not even tell whether something is stated.
        asked = members if state == "open" else needed.get(other, frozenset())
        if other != root and state != "none" and asked - {"", *views[other]}:
            return True
    return False


def said_by(rule: Rule) -> list[Expression]:
    """The expressions of a rule."""
    return [expression for expression in (rule.when, rule.that) if expression is not None]


def alike(answers: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """What several views have alike; the members that they do not stand under ``UNDECIDED``."""
    members = dict.fromkeys(member for view in answers for member in view if member not in STANCE)
    agreed = {
        member: answers[0][member]
        for member in members
        if all(member in view and view[member] == answers[0].get(member) for view in answers)
    }
    return {**agreed, UNDECIDED: tuple(sorted(member for member in members if member not in agreed))}


def _all(truths: Iterable[bool | None]) -> bool | None:
    """Three-valued and."""
    result: bool | None = True
    for truth in truths:
        if truth is False:
            return False
        if truth is None:
            result = None
    return result
