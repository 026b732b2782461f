"""Today: the jobs with the one next act of each, worked out beside the page."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request, Response

from tappetry.services import machine
from tappetry.services.backups import Failure
from tappetry.services.ledger import JobRow
from tappetry.services.machine import MachineOrder
from tappetry.services.next_act import NextAct, next_act
from tappetry.services.roles import Permission
from tappetry.web.access import may
from tappetry.web.render import app_of, render

router = APIRouter()


@dataclass(frozen=True, slots=True)
class TodayPage:
    """Jobs that wait for the shop or for their customers, a backup that failed, late machine work."""

    ours: tuple[JobRow, ...]
    theirs: tuple[JobRow, ...]
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
    found = ledger.find()
    page = TodayPage(
        tuple(row for row in found if row.state != "quoted"),
        tuple(row for row in found if row.state == "quoted"),
        ledger.backups.failure if may(request, Permission.ACCOUNTS) else None,
        tuple(machine.late(ledger)),
    )
    return render(request, "today.html", page, "today")


@router.get("/jobs/{number}/next")
def next_of(request: Request, number: str) -> Response:
    """The next act of a job."""
    return render(request, "next.html", NextPage(number, next_act(app_of(request).ledger, number)), "today")
