"""A request in which slots may stand open for want of a fact, and parts have to be bought in whole packs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from tappetry.assembly.values import Values
from tappetry.kitting.conflicts.buying import buying_laws
from tappetry.kitting.conflicts.case import Case, Place
from tappetry.kitting.conflicts.elements import Element
from tappetry.kitting.conflicts.laws import Law, Views, match_reads
from tappetry.kitting.expand import build, empty_slot
from tappetry.kitting.options import RENEWED
from tappetry.kitting.problem import Problem, thin_out
from tappetry.kitting.questions import open_questions
from tappetry.kitting.standing import Standing, suits

#: The kinds of elements that say what fits.
FITTING = frozenset({"match", "rule", "proof", "check"})


@dataclass
class AskedCase(Case):
    """A case with the laws of open questions and of buying: where nothing else tells the conflict."""

    @cached_property
    def asked(self) -> Problem:
        """The problem as it is once its questions are open."""
        problem = build(self.request)
        problem.offered = {root: list(state.options) for root, state in problem.slots.items()}
        if empty_slot(problem) is None and thin_out(problem) is None:
            open_questions(problem)
        return problem

    def _place(self, root: str) -> Place:
        place = super()._place(root)
        open_ones = [option for option in self.asked.slots[root].options if option.state == "open"]
        return replace(place, options=(*place.options, *sorted(open_ones, key=lambda option: option.key)))

    def said(self) -> Iterator[Law]:
        """The laws of the case, those of open slots, and those of buying."""
        plain = list(super().said())
        yield from plain
        fitting = [law for law in plain if law.elements[0].kind in FITTING]
        for root, standing in sorted(self.asked.standings.items()):
            doubt = _doubt(root, standing)
            yield from _question_laws(root, standing, doubt)
            fitting.append(doubt)
        yield from buying_laws(self, fitting)


def _doubt(root: str, standing: Standing) -> Law:
    """A new part of which it is not known whether it fits does not stand there: the slot is open."""
    rules = standing.matches

    def breaks(_: Values, views: Views) -> bool:
        renewed = views[root]["state"] in RENEWED
        return renewed and any(suits(standing.values, rule, root, views) is None for rule in rules)

    reads = match_reads(standing.values, rules, root)
    return Law((Element("question", standing.need.id, root),), reads, breaks, of_standing=True)


def _question_laws(root: str, standing: Standing, doubt: Law) -> Iterator[Law]:
    """A slot stands open just where it is not known how it must stand, or whether anything fits."""
    reads = dict(standing.reads())
    reads[root] = reads.get(root, frozenset()) | {"state", "standing"}

    def settled(_: Values, views: Views) -> bool:
        return views[root]["state"] != "open" and not standing.due(views).settled

    def opened(_: Values, views: Views) -> bool:
        if views[root]["state"] != "open":
            return False
        asked = standing.question(views)
        return asked is None or asked.standing != views[root]["standing"]

    yield doubt
    yield Law(doubt.elements, reads, settled, of_standing=True)
    yield Law((), reads, opened, of_standing=True)
