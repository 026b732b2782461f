"""Shop: who sits here, which text and catalogue are in force, and the latest acts of all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from tappetry import __version__
from tappetry.presentation.measures import SYSTEMS
from tappetry.presentation.papers import letterhead
from tappetry.services.backups import Backup, Failure, Schedule
from tappetry.services.ledger import Told
from tappetry.services.text_proposal import outside
from tappetry.web.render import app_of, render
from tappetry.web.security import name_person
from tappetry.web.units import choose

router = APIRouter()


@dataclass(frozen=True, slots=True)
class ShopPage:
    """The shop as it runs."""

    tax_number: str
    folder: str
    database: str
    knowledge: str
    catalogue: str
    program: str
    counts: tuple[tuple[str, int], ...]
    acts: tuple[Told, ...]
    systems: tuple[tuple[str, str], ...]
    backup: Backup | None
    backup_count: int
    backup_folder: str
    schedule: Schedule
    failure: Failure | None
    outside: tuple[str, ...]


@router.get("/shop")
def shop(request: Request) -> Response:
    """The shop as it runs."""
    ledger = app_of(request).ledger
    knowledge, catalogue = ledger.shop.knowledge, ledger.shop.catalogue
    backups = ledger.backups
    made = backups.made()
    page = ShopPage(
        tax_number=letterhead(ledger.shop).tax_number,
        folder=str(ledger.shop.folder),
        database=ledger.place,
        knowledge=knowledge.version,
        catalogue=catalogue.version,
        program=__version__,
        counts=(
            ("engine families", len(knowledge.families)),
            ("needs", len(knowledge.needs)),
            ("checks", len(knowledge.proofs)),
            ("parts", len(catalogue.parts)),
            ("suppliers", len(catalogue.suppliers)),
        ),
        acts=tuple(ledger.trail()),
        systems=tuple((each.name, each.title) for each in SYSTEMS.values()),
        backup=made[0] if made else None,
        backup_count=len(made),
        backup_folder=str(backups.folder),
        schedule=backups.schedule,
        failure=backups.failure,
        outside=outside(ledger),
    )
    return render(request, "shop.html", page, "shop")


@router.post("/units")
def units(units: Annotated[str, Form()] = "") -> Response:
    """Choose the units that stand first on this browser's pages."""
    response = RedirectResponse("/shop", 303)
    choose(response, units)
    return response


@router.post("/person")
def person(request: Request, name: Annotated[str, Form()] = "") -> Response:
    """Say who sits at this browser."""
    response = RedirectResponse("/shop", 303)
    name_person(app_of(request).guard, response, name)
    return response
