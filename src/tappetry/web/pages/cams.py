"""Camshafts side by side: cards, timing, simulated curves; worked out beside the page, told, stopped."""

from __future__ import annotations

import math
from dataclasses import dataclass
from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from starlette.exceptions import HTTPException

from tappetry.presentation import cams as words
from tappetry.presentation.charts.chart import Chart
from tappetry.presentation.charts.simulated import torque_power, volumetric_efficiency
from tappetry.presentation.charts.timing import timing_diagram
from tappetry.presentation.measures import Measures
from tappetry.records.problems import Refusal
from tappetry.services.cams import (
    CamCard,
    Compared,
    Shelf,
    ask_curves,
    compared,
    family_shelf,
    job_shelf,
    stop_curves,
)
from tappetry.services.queue import Standing
from tappetry.services.simulate import vacuum_limit
from tappetry.web.charts import Figure, answer
from tappetry.web.render import app_of, render
from tappetry.web.security import person
from tappetry.web.units import measures_of

router = APIRouter()


@dataclass(frozen=True, slots=True)
class Row:
    """One camshaft: its card in words, and what its curve says, where it is worked out."""

    card: CamCard
    variant: str
    durations: str
    separation: str
    lifts: str
    overlap: str
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CamsPage:
    """Camshafts side by side, and how far the work on their curves is."""

    title: str
    back: str
    address: str
    rows: tuple[Row, ...]
    asked: bool
    standing: Standing
    figures: tuple[Figure, ...]
    remarks: tuple[str, ...]
    made_with: str
    why_not: str
    one_engine: str


@router.get("/jobs/{number}/cams")
def of_job(request: Request, number: str) -> Response:
    """The camshafts on the shelf of a job."""
    shelf, back = _job(request, number)
    return _page(request, shelf, f"Camshafts for {number}", back, "jobs")


@router.post("/jobs/{number}/cams")
def ask_of_job(request: Request, number: str) -> Response:
    """Work their curves out."""
    shelf, back = _job(request, number)
    ask_curves(app_of(request).ledger, shelf, person(request))
    return RedirectResponse(f"{back}#cams", 303)


@router.post("/jobs/{number}/cams/stop")
def stop_of_job(request: Request, number: str) -> Response:
    """Stop working their curves out."""
    shelf, back = _job(request, number)
    stop_curves(app_of(request).ledger, shelf)
    return RedirectResponse(f"{back}#cams", 303)


@router.get("/jobs/{number}/cams/{name}.{ending}")
def chart_of_job(
    request: Request, number: str, name: str, ending: str, theme: str = "light", size: str = "wide"
) -> Response:
    """One of their charts."""
    return answer(_charts(request, _job(request, number)[0]).get(name), ending, theme, size)


@router.get("/families/{family}/curves")
def of_family(request: Request, family: str) -> Response:
    """The engines of a family with their factory camshafts."""
    shelf, back = _family(request, family)
    return _page(request, shelf, "Engines side by side", back, "families")


@router.post("/families/{family}/curves")
def ask_of_family(request: Request, family: str) -> Response:
    """Work their curves out."""
    shelf, back = _family(request, family)
    ask_curves(app_of(request).ledger, shelf, person(request))
    return RedirectResponse(f"{back}#cams", 303)


@router.post("/families/{family}/curves/stop")
def stop_of_family(request: Request, family: str) -> Response:
    """Stop working their curves out."""
    shelf, back = _family(request, family)
    stop_curves(app_of(request).ledger, shelf)
    return RedirectResponse(f"{back}#cams", 303)


@router.get("/families/{family}/curves/{name}.{ending}")
def chart_of_family(
    request: Request, family: str, name: str, ending: str, theme: str = "light", size: str = "wide"
) -> Response:
    """One of their charts."""
    return answer(_charts(request, _family(request, family)[0]).get(name), ending, theme, size)


def _job(request: Request, number: str) -> tuple[Shelf, str]:
    ledger = app_of(request).ledger
    job = ledger.job(number).job
    back = f"/jobs/{quote(number, safe='')}/plan"
    try:
        return job_shelf(ledger, job), back
    except Refusal as refusal:  # the engine is not known yet
        return Shelf((), (), (), refusal.message), back


def _family(request: Request, family: str) -> tuple[Shelf, str]:
    ledger = app_of(request).ledger
    found = ledger.shop.knowledge.families.get(family)
    if found is None:
        raise HTTPException(404)
    return family_shelf(ledger, found), f"/families/{quote(family, safe='')}"


def _page(request: Request, shelf: Shelf, title: str, back: str, room: str) -> Response:
    ledger = app_of(request).ledger
    found = compared(ledger, shelf)
    measures = measures_of(request)
    address = str(request.url.path)
    engines = set(shelf.variants)
    done = [curve for curve in found.curves if curve is not None]
    page = CamsPage(
        title=title,
        back=back,
        address=address,
        rows=tuple(_rows(request, found, measures)),
        asked=found.asked,
        standing=found.standing,
        figures=tuple(
            Figure(f"{address}/{name}", chart) for name, chart in _charts(request, shelf, found).items()
        ),
        remarks=tuple(
            f"{curve.full.described.variant} with {curve.full.described.cam}: {remark}"
            for curve in done
            for remark in curve.full.remarks
        ),
        made_with=f"model {done[0].made_with['model']}" if done else "",
        why_not=shelf.why_not,
        one_engine=engines.pop() if len(engines) == 1 else "",
    )
    return render(request, "cams.html", page, room)


def _rows(request: Request, found: Compared, measures: Measures) -> list[Row]:
    limit = vacuum_limit(app_of(request).ledger.shop)
    factory = next(
        (
            curve
            for card, curve in zip(found.shelf.cards, found.curves, strict=False)
            if card.factory and curve is not None
        ),
        None,
    )
    side_by_side = len(set(found.shelf.variants)) == 1
    rows = []
    for place, card in enumerate(found.shelf.cards):
        curve = found.curves[place] if found.curves else None
        said = []
        if curve is not None:
            said.append(words.strength(curve.full, measures))
            if side_by_side and factory is not None and not card.factory:
                said.append(words.against(curve.full, factory.full, measures))
            said.append(words.idle(curve, limit, card.overlap, measures))
        rows.append(
            Row(
                card,
                found.shelf.variants[place],
                f"{_degrees(card.intake_duration)} / {_degrees(card.exhaust_duration)}",
                _degrees(card.separation),
                " / ".join(
                    measures.both(each, "length")
                    for each in dict.fromkeys((card.intake_lift, card.exhaust_lift))
                ),
                _degrees(card.overlap),
                tuple(said),
            )
        )
    return rows


def _charts(request: Request, shelf: Shelf, found: Compared | None = None) -> dict[str, Chart]:
    """The charts that can be drawn by now, by their names."""
    known = compared(app_of(request).ledger, shelf) if found is None else found
    curves = [curve.full for curve in known.curves if curve is not None]
    charts = {}
    if curves:
        charts["torque"] = torque_power(curves, measures_of(request))
    if shelf.cards:
        charts["timing"] = timing_diagram(shelf.cards)
    if curves:
        charts["filling"] = volumetric_efficiency(curves)
    return charts


def _degrees(angle: float) -> str:
    return f"{math.degrees(angle):.0f}°"
