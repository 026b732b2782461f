"""Today: the jobs with the one next act of each, worked out beside the page."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request, Response

from tappetry.services import machine
from tappetry.services.backups import Failure
from tappetry.services.machine import MachineOrder
from tappetry.services.next_act import NextAct, Waiting, next_act, sorted_by_whom
from tappetry.services.roles import Permission
from tappetry.web.access import may
from tappetry.web.render import app_of, render

router = APIRouter()


@dataclass(frozen=True, slots=True)
class TodayPage:
    """Jobs that wait for the shop, for their customers, or were invoiced; a backup that failed, late work."""

    waiting: Waiting
    failure: Failure | None
    late: tuple[tuple[str, MachineOrder], ...]


@dataclass(frozen=True, slots=True)
class NextPage:
    """The next act of one job."""

    number: str
    act: NextAct


@router.get("/")
def today(request: Request) -> Response:
    """What waits for whom."""
    ledger = app_of(request).ledger
    page = TodayPage(
        sorted_by_whom(ledger),
        ledger.backups.failure if may(request, Permission.ACCOUNTS) else None,
        tuple(machine.late(ledger)),
    )
    return render(request, "today.html", page, "today")


@router.get("/jobs/{number}/next")
def next_of(request: Request, number: str) -> Response:
    """The next act of a job."""
    ledger = app_of(request).ledger
    with ledger.one_view():
        page = NextPage(number, next_act(ledger, number))
    return render(request, "next.html", page, "today")
