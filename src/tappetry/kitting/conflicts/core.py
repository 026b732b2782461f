"""The core of a conflict: what of a request, its engine and the shop's text cannot hold together."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from tappetry.kitting.conflicts.asked import AskedCase
from tappetry.kitting.conflicts.case import Case
from tappetry.kitting.conflicts.elements import Element
from tappetry.kitting.conflicts.facts import Facts
from tappetry.kitting.conflicts.search import Search
from tappetry.kitting.conflicts.telling import Telling
from tappetry.kitting.request import Request
from tappetry.records.problems import Ground, OurFault


@dataclass(frozen=True, slots=True)
class Core:
    """What cannot hold together, none of it one too many, in words and as data.

    ``elements`` are wishes, needs, rules and proofs; ``facts`` the names of the facts, limits and choices
    of plan that these rest on, as conditions know them. ``earliest`` is the first day on which one part
    that comes too late would be here.
    """

    grounds: tuple[Ground, ...]
    arithmetic: str = ""
    elements: tuple[Element, ...] = ()
    facts: tuple[str, ...] = ()
    earliest: date | None = None


def core_of(request: Request) -> Core:
    """Why no kit meets a request.

    Raises
    ------
    OurFault
        Nothing stands in the way of one.
    """
    core = conflict_in(request)
    if core is None:
        raise OurFault("nothing stands in the way of a request that was refused", {"job": request.job})
    return core


def conflict_in(request: Request) -> Core | None:
    """What of a request cannot hold together; None where a kit can meet it.

    Most conflicts show without open questions and purchases, which take longer to look through.
    """
    case = Case(request)
    elements = _search(case).minimal()
    if elements is not None and not case.may_be_open(elements):
        return _told(case, elements)
    case = AskedCase(request)
    search = _search(case)
    if elements is None or search.ask(elements) is not None:
        elements = search.minimal()
    return None if elements is None else _told(case, elements)


def _search(case: Case) -> Search:
    return Search(case, case.values, case.places, case.laws)


def _told(case: Case, elements: list[Element]) -> Core:
    facts = Facts(case, elements)
    names = facts.needed()
    telling = Telling(case, facts, names)
    return Core(
        elements=tuple(elements),
        facts=names,
        grounds=tuple(telling.grounds()),
        arithmetic="\n".join(telling.arithmetic()),
        earliest=telling.earliest(),
    )
