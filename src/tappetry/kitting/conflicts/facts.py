"""Which facts a conflict rests on: those without which the laws in it would forbid too little."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from tappetry.assembly.values import Values
from tappetry.kitting.conflicts.case import Case
from tappetry.kitting.conflicts.elements import LAWS, Element
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
        self.search = self._search(case.values)
        self.witnesses = {
            element: choice
            for element in elements
            if (choice := self.search.ask([e for e in elements if e != element])) is not None
        }

    def _search(self, values: Values) -> Search:
        return Search(self.case, values, self.places, self.laws)

    def needed(self) -> tuple[str, ...]:
        """The facts that the conflict rests on, none of which could be missing, as conditions name them."""
        search = self._search(self.case.values)
        search.ask(self.elements)
        read = sorted(self._read(), key=_order)
        known = set(read)
        for name in read:
            fewer = self._without({*read} - known | {name})
            if self._says_too_little(fewer):
                continue
            if not search.still_says(fewer):
                again = self._search(fewer)
                if again.ask(self.elements) is not None:
                    continue
                search = again
            known.discard(name)
        return tuple(name for name in reversed(read) if name in known)

    def _read(self) -> set[str]:
        """Every fact and limit that the laws read."""
        values = self.case.values
        stated = {name for law in self.laws for name, _ in values.facts(law.said)}
        stated |= {f"engine.{name}" for law in self.laws for name in law.facts}
        return {name.replace("stated.", "engine.") for name in stated if name in _known(values.fixed)}

    def _says_too_little(self, values: Values) -> bool:
        """Whether the choice that breaks one element alone breaks nothing when these facts are all."""
        return any(
            not any(
                law.breaks(values, {root: choice[root].view for root in law.reads})
                for law in self.laws
                if element in law.elements
            )
            for element, choice in self.witnesses.items()
            if element.kind in LAWS
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
        return Values(self.case.request.knowledge, fixed)


def _known(fixed: Mapping[str, Mapping[str, object]]) -> set[str]:
    return {f"{root}.{name}" for root, view in fixed.items() for name in view}


def _order(name: str) -> tuple[int, str]:
    root = name.partition(".")[0]
    return (ROOTS.index(root) + 1 if root in ROOTS else 0, name)
