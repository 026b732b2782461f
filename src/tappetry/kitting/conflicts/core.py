"""The core of a conflict: what of a request, its engine and the shop's text cannot hold together."""

from __future__ import annotations

from dataclasses import dataclass

from tappetry.kitting.expand import build, narrow
from tappetry.kitting.refusals import grounds_of
from tappetry.kitting.request import Request
from tappetry.records.problems import Ground


@dataclass(frozen=True, slots=True)
class Core:
    """Grounds that cannot hold together, the customer's own first, and how far they miss."""

    grounds: tuple[Ground, ...]
    arithmetic: str = ""


def core_of(request: Request) -> Core:
    """Why no kit meets a request that ``attempt`` found none for."""
    problem = build(request)
    return Core(tuple(grounds_of(request, problem, narrow(problem))))
