"""Parts: found by number, words or need; one with all that is known of it."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request, Response

from tappetry.presentation import words
from tappetry.services.parts import Found, PartCard, find_parts, part_card
from tappetry.web.render import app_of, render
from tappetry.web.security import fragment

router = APIRouter()


@dataclass(frozen=True, slots=True)
class PartsPage:
    """The parts of a search, and the needs by which to search."""

    words: str
    need: str
    found: Found
    needs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class PartPage:
    """One part, and the jobs whose kept kits hold it."""

    card: PartCard
    attributes: tuple[tuple[str, str], ...]
    jobs: tuple[str, ...]


@router.get("/parts")
def parts(request: Request, q: str = "", need: str = "") -> Response:
    """The parts that hold some words, or fill a need."""
    shop = app_of(request).ledger.shop
    needs = tuple((each.id, each.title) for each in shop.knowledge.needs.values())
    page = PartsPage(q, need, find_parts(shop, q, need), needs)
    return render(request, "parts_list.html" if fragment(request) else "parts_page.html", page, "parts")


@router.get("/parts/{supplier}/{number:path}")
def part(request: Request, supplier: str, number: str) -> Response:
    """One part."""
    ledger = app_of(request).ledger
    card = part_card(ledger.shop, supplier, number)
    known = ledger.shop.knowledge.part_attributes
    page = PartPage(
        card,
        tuple(
            (known.get(name, {}).get("title", name), words.value(value))
            for name, value in card.part.attributes.items()
        ),
        tuple(ledger.jobs_with(card.part.supplier, card.part.number)),
    )
    return render(request, "part.html", page, "parts")
