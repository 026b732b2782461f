"""Which facts a conflict rests on: those without which the laws in it would forbid too little."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from tappetry.assembly.values import Values
from tappetry.kitting.conflicts.case import Case
from tappetry.kitting.conflicts.elements import LAWS, Element
from tappetry.kitting.conflicts.laws import Law
from tappetry.kitting.conflicts.search import Search

#: The roots in the order in which their facts are left out: what a conflict would rather be told by is last.
ROOTS = ("limits", "job", "engine", "plan")


class Facts:
    """The facts of one minimal conflict.

    ``witnesses`` give for each element a choice that obeys all the others.
    """

    def __init__(self, case: Case, elements: Collection[Element]) -> None:
        self.case = case
        self.elements = elements
        self.places, self.laws = case.about(elements)
        self.search = Search(case, case.values, self.places, self.laws)
        self.witnesses = {
            element: choice
            for element in elements
            if (choice := self.search.ask([e for e in elements if e != element])) is not None
        }

    def needed(self) -> tuple[str, ...]:
        """The facts that the conflict rests on, none of which could be missing, as conditions name them."""
        search = Search(self.case, self.case.values, self.places, self.laws)
        search.may_forget()
        search.ask(self.elements)
        reads = {law: self._read(law) for law in self.laws}
        read = sorted(set().union(*reads.values()), key=_order)
        known = set(read)
        for name in read:
            fewer = self._without({*read} - known | {name})
            changed = [law for law in self.laws if name in reads[law]]
            if self._says_too_little(fewer, changed):
                continue
            if search.still_clash(self.elements, fewer, changed):
                known.discard(name)
        return tuple(name for name in reversed(read) if name in known)

    def _read(self, law: Law) -> set[str]:
        """Every fact and limit that a law reads."""
        fixed = self.case.values.fixed
        stated = [name for name, _ in self.case.values.facts(law.said)]
        stated += [f"engine.{name}" for name in law.facts if name in fixed["engine"]]
        return {name.replace("stated.", "engine.") for name in stated}

    def _says_too_little(self, values: Values, changed: Collection[Law]) -> bool:
        """Whether the choice that breaks one element alone breaks nothing when these facts are all."""
        return any(
            not any(
                law.breaks(values, {root: choice[root].view for root in law.reads})
                for law in self.laws
                if element in law.elements
            )
            for element, choice in self.witnesses.items()
            if element.kind in LAWS and any(element in law.elements for law in changed)
        )

    def _without(self, names: Iterable[str]) -> Values:
        """The values of the request with some facts not known."""
        missing: dict[str, set[str]] = {}
        for name in names:
            root, _, member = name.partition(".")
            missing.setdefault(root, set()).add(member)
        missing["stated"] = missing.get("engine", set())
        fixed = {
            root: {name: value for name, value in view.items() if name not in missing[root]}
            if root in missing
            else view
            for root, view in self.case.values.fixed.items()
        }
        return Values(self.case.request.knowledge, fixed, self.case.request.memory)


def _order(name: str) -> tuple[int, str]:
    root = name.partition(".")[0]
    return (ROOTS.index(root) + 1 if root in ROOTS else 0, name)
