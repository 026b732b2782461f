"""All functions for programs together, and their description."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.openapi.utils import get_openapi

from tappetry import __version__
from tappetry.web.api import bills, jobs, rooms
from tappetry.web.api.answers import PREFIX, Answer, answered

description = APIRouter(prefix=PREFIX)


@description.get("/openapi.json", include_in_schema=False)
def openapi(request: Request) -> Answer:
    """What programs may ask, and how."""
    return answered(request, schema())


ROUTERS = (jobs.router, bills.router, rooms.router, description)


def schema() -> dict[str, Any]:
    """The description of all addresses."""
    made = get_openapi(
        title="tappetry",
        version=__version__,
        description="Jobs, facts, plans, kits, proofs, quotes, invoices, parts, families and calculations.",
        routes=[route for router in ROUTERS for route in router.routes],
    )
    made.setdefault("components", {})["securitySchemes"] = {"token": {"type": "http", "scheme": "bearer"}}
    made["security"] = [{"token": []}]
    return made
