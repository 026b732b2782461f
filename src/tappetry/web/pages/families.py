"""Families: an engine family as a handbook that is read here and edited as text."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request, Response
from starlette.exceptions import HTTPException

from tappetry.presentation import words
from tappetry.records.family import Family
from tappetry.web.render import app_of, render

router = APIRouter()


@dataclass(frozen=True, slots=True)
class Group:
    """Needs of one group, each with its title, why it is renewed, and how many parts fill it."""

    title: str
    needs: tuple[tuple[str, str, str, int], ...]


@dataclass(frozen=True, slots=True)
class FamiliesPage:
    """All families."""

    families: tuple[Family, ...]


@dataclass(frozen=True, slots=True)
class FamilyPage:
    """One family: what all its engines have, its applications, and the needs of the house."""

    family: Family
    attributes: tuple[tuple[str, str], ...]
    groups: tuple[Group, ...]


@router.get("/families")
def families(request: Request) -> Response:
    """All families."""
    found = app_of(request).ledger.shop.knowledge.families
    return render(request, "families.html", FamiliesPage(tuple(found.values())), "families")


@router.get("/families/{family}")
def family(request: Request, family: str) -> Response:
    """One family."""
    shop = app_of(request).ledger.shop
    found = shop.knowledge.families.get(family)
    if found is None:
        raise HTTPException(404)
    attributes = shop.knowledge.attributes
    groups: dict[str, list[tuple[str, str, str, int]]] = {}
    for need in shop.knowledge.needs.values():
        row = (need.id, need.title, need.why, len(shop.catalogue.parts_for(need.id)))
        groups.setdefault(need.group, []).append(row)
    page = FamilyPage(
        found,
        tuple(
            (attributes[name].title, words.value(value, attributes[name].unit))
            if name in attributes
            else (name, words.value(value))
            for name, value in found.attributes.items()
        ),
        tuple(Group(title, tuple(needs)) for title, needs in groups.items()),
    )
    return render(request, "family.html", page, "families")
