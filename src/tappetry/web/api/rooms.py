"""Parts, families, calculations and search for programs."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request
from starlette.exceptions import HTTPException

from tappetry.records.part import Part
from tappetry.services.calculate import Calculation, calculate, calculations, find_calculation
from tappetry.services.parts import find_parts, part_card
from tappetry.web.api.answers import PREFIX, PROBLEMS, Answer, answered
from tappetry.web.api.jobs import row_data
from tappetry.web.render import app_of

router = APIRouter(prefix=PREFIX, responses=PROBLEMS, tags=["rooms"])
Words = Annotated[str, Query(max_length=200, description="words that have to be found")]
Name = Annotated[str, Path(max_length=100)]


@router.get("/search")
def search(request: Request, q: Words = "") -> Answer:
    """Jobs and parts that hold some words."""
    ledger = app_of(request).ledger
    parts = find_parts(ledger.shop, q).parts if q.strip() else ()
    found = {"jobs": [row_data(row) for row in ledger.find(q)], "parts": [_part(part) for part in parts]}
    return answered(request, found)


@router.get("/parts")
def parts(request: Request, q: Words = "", need: Annotated[str, Query(max_length=100)] = "") -> Answer:
    """Parts that hold some words, or fill a need: the first ones, and how many there are."""
    found = find_parts(app_of(request).ledger.shop, q, need)
    data = {"parts": [_part(part) for part in found.parts], "count": found.count, "more": found.more}
    return answered(request, data)


@router.get("/parts/{supplier}/{number:path}")
def part(request: Request, supplier: Name, number: Name) -> Answer:
    """One part, what it fills and what takes its place."""
    ledger = app_of(request).ledger
    card = part_card(ledger.shop, supplier, number)
    data = {
        **_part(card.part),
        "fills": [{"need": need, "pieces": pieces} for need, _, pieces in card.fills],
        "fits": card.part.fits,
        "attributes": card.part.attributes,
        "replaced_by": None if card.replaced_by is None else card.replaced_by.number,
        "replaces": list(card.replaces),
        "jobs": ledger.jobs_with(card.part.supplier, card.part.number),
    }
    return answered(request, data)


@router.get("/families")
def families(request: Request) -> Answer:
    """The engine families that the shop knows."""
    found = app_of(request).ledger.shop.knowledge.families.values()
    return answered(request, {"families": [{"family": each.id, "name": each.name} for each in found]})


@router.get("/families/{family}")
def family(request: Request, family: Name) -> Answer:
    """One family with what all its engines have."""
    found = app_of(request).ledger.shop.knowledge.families.get(family)
    if found is None:
        raise HTTPException(404, "There is no such family.")
    return answered(request, {"family": found.id, "name": found.name, "attributes": found.attributes})


@router.get("/calculators")
def every(request: Request) -> Answer:
    """All calculations."""
    found = [{"name": each.name, "title": each.title, "chapter": each.chapter} for each in calculations()]
    return answered(request, {"calculations": found})


@router.get("/calculators/{name}")
def one(request: Request, name: Name) -> Answer:
    """What a calculation takes and gives, in the trade's units."""
    return answered(request, _card(find_calculation(name)))


@router.get("/calculators/{name}/result")
def result(
    request: Request,
    name: Name,
    stated: Annotated[list[str], Query(alias="input", max_length=200, description="name=value")] = [],  # noqa: B006
) -> Answer:
    """The outputs of a calculation; a list is the same input several times."""
    done = calculate(name, stated)
    outputs = {each.name: {"value": each.value, "unit": each.unit} for each in done.outputs}
    return answered(request, {"name": name, "outputs": outputs})


def _part(part: Part) -> dict[str, Any]:
    return {
        "supplier": part.supplier,
        "number": part.number,
        "description": part.description,
        "status": part.status,
        "unit": part.unit,
        "price": str(part.price),
        "cost": str(part.cost),
        "lead_days": part.lead_days,
    }


def _card(calculation: Calculation) -> dict[str, Any]:
    return {
        "name": calculation.name,
        "title": calculation.title,
        "chapter": calculation.chapter,
        "formula": calculation.formula,
        "inputs": [
            {
                "name": each.name,
                "description": each.description,
                "unit": each.display_unit,
                "choices": list(each.choices),
                "required": each.required,
                "several": each.several,
            }
            for each in calculation.inputs
        ],
        "outputs": [
            {"name": each.name, "description": each.description, "unit": each.display_unit}
            for each in calculation.outputs
        ],
    }
