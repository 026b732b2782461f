"""Kit: all that is bought and what stays, in one table; open a line for its reasons and runners-up."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response

from tappetry.presentation import why_not, words
from tappetry.records.kit import Kit, Line
from tappetry.records.problems import Refusal
from tappetry.records.why_not import WhyNot
from tappetry.services.ledger import KitChange, KitRow
from tappetry.services.roles import Permission
from tappetry.services.texts import versions_of
from tappetry.web.access import may
from tappetry.web.pages.job import Head, head, kit_or_refusal, opened, to_part
from tappetry.web.pages.plan import as_typed
from tappetry.web.render import app_of, render
from tappetry.web.security import person

router = APIRouter()


@dataclass(frozen=True, slots=True)
class Shown:
    """One line of the kit with the titles of what it fills, from whom it comes, and what is done with it."""

    line: Line
    needs: tuple[tuple[str, str], ...]
    supplier: str
    pinned: bool
    pins: str
    refusals: str


@dataclass(frozen=True, slots=True)
class KitPage:
    """The kit of a job, or why there is none, and the kits that were kept before.

    ``work`` is each operation with its hours and what it is done for.
    ``texts`` are the versions of the shop's text that those were made from, by the numbers of the kits.
    """

    head: Head
    kit: Kit | None
    refusal: Refusal | None
    lines: tuple[Shown, ...]
    kept: tuple[tuple[str, str, str], ...]
    declined: tuple[tuple[str, str, str, str], ...]
    work: tuple[tuple[str, Decimal, tuple[str, ...]], ...]
    rows: tuple[KitRow, ...]
    texts: dict[int, int | None]
    changes: tuple[KitChange, ...]
    version: int
    sheet: int


@dataclass(frozen=True, slots=True)
class WhyPage:
    """Why no other part stands in some places of the kit."""

    places: tuple[WhyNot, ...]
    outcomes: tuple[tuple[str, str, str], ...]
    more: int


@router.get("/jobs/{number}/kit")
def kit(request: Request, number: str) -> Response:
    """The kit of a job."""
    ledger = app_of(request).ledger
    with ledger.one_view():
        job = opened(request, number)
        found, refusal = kit_or_refusal(request, job.job)
        titles = ledger.shop.knowledge.titles()
        plan = job.kept.document["plan"]
        rows = ledger.kits(number)
        places = found.kept if found is not None else ()
        stays = words.told_once(each for each in places if each.state != "none")
        page = KitPage(
            head=head(job, "kit"),
            kit=found,
            refusal=refusal,
            lines=tuple(
                Shown(
                    line=line,
                    needs=tuple((filled.need, titles.get(filled.need, filled.need)) for filled in line.needs),
                    supplier=ledger.shop.catalogue.suppliers[line.supplier].name,
                    pinned=line.part in job.job.plan.pins,
                    pins=as_typed([*plan.get("pins", []), line.part]),
                    refusals=as_typed([*plan.get("refusals", []), line.part]),
                )
                for line in (found.lines if found is not None else ())
            ),
            kept=tuple(
                (words.kept(each, stays, titles.get(each.need, each.need)), each.state, each.text)
                for each in stays
            ),
            declined=tuple(
                (titles.get(each.need, each.need), each.offer, each.reason_to_buy, each.reason_to_decline)
                for each in (found.declined if found is not None else ())
            ),
            work=tuple(
                (each.what, each.hours, tuple(titles.get(need, need) for need in each.needs))
                for each in (found.operations if found is not None else ())
            ),
            rows=tuple(reversed(rows)),
            texts=versions_of(ledger, rows),
            changes=tuple(ledger.kit_changes(number)),
            version=job.kept.versions["plan"],
            sheet=job.kept.versions["sheet"],
        )
    return render(request, "kit.html", page, "jobs")


@router.get("/jobs/{number}/kit/why/{need}")
def why(request: Request, number: str, need: str) -> Response:
    """The runners-up of one need, each solved, proved and priced."""
    purchase = may(request, Permission.PURCHASE)
    places = app_of(request).ledger.why_not(opened(request, number).job, need)
    page = WhyPage(
        places=places,
        outcomes=tuple(
            (each.part, each.description, why_not.outcome(each, purchase))
            for place in places
            for each in place.runners_up
        ),
        more=sum(place.more for place in places),
    )
    return render(request, "why.html", page, "jobs")


@router.post("/jobs/{number}/kit")
def keep(request: Request, number: str, why: Annotated[str, Form()] = "") -> Response:
    """Keep the kit as it stands."""
    app_of(request).ledger.keep_kit(number, person(request), why)
    return to_part(number, "kit")
