"""How programs are answered: JSON with the version in force, and problems as RFC 9457 has them."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from http import HTTPStatus
from typing import Annotated, Any

from fastapi import Header, Request
from fastapi.responses import JSONResponse
from pydantic import BaseModel
from starlette.exceptions import HTTPException

from tappetry.presentation.shops_side import without_shops_side
from tappetry.services.roles import Permission
from tappetry.web.access import may

#: Where the interface begins; a change that breaks programs takes another number.
PREFIX = "/api/1"
PROBLEM = "application/problem+json"
IfMatch = Annotated[str, Header(description='the ETag that was read before the change, such as "plan-3"')]
Answer = JSONResponse


class Problem(BaseModel):
    """What could not be done, and what would help (RFC 9457)."""

    type: str = "about:blank"
    title: str
    status: int
    detail: str
    instance: str
    kind: str = ""
    facts: list[Any] = []
    ways_out: list[str] = []
    arithmetic: str = ""


#: The problems that any address may answer with.
PROBLEMS: dict[int | str, dict[str, Any]] = {
    status: {"model": Problem, "content": {PROBLEM: {}}, "description": HTTPStatus(status).phrase}
    for status in (400, 401, 403, 404, 409, 411, 412, 413, 415, 422, 428, 429, 503)
}


def problem(request: Request, status: int, detail: str, **more: Any) -> JSONResponse:
    """A problem, told to a program."""
    made = Problem(
        title=HTTPStatus(status).phrase, status=status, detail=detail, instance=request.url.path, **more
    )
    return JSONResponse(made.model_dump(), status, media_type=PROBLEM)


def answered(
    request: Request, data: Mapping[str, Any], status: int = 200, tag: str = "", place: str = ""
) -> JSONResponse:
    """An answer; what the shop pays is left out for those who may not see it; what is not finite is null."""
    headers = ({"ETag": f'"{tag}"'} if tag else {}) | ({"Location": place} if place else {})
    told = dict(data) if may(request, Permission.PURCHASE) else without_shops_side(data)
    shown = _shown(told)
    return JSONResponse(shown, status, headers=headers)


def version_of(if_match: str, part: str) -> int:
    """The version that a program read before its change.

    Raises
    ------
    HTTPException
        It does not say one.
    """
    found = re.fullmatch(rf'"{part}-([1-9]\d{{0,5}})"', if_match.strip())
    if found is None:
        raise HTTPException(428, f'Say which version was read: If-Match: "{part}-1", as its ETag said.')
    return int(found[1])


def _shown(value: Any) -> Any:
    """Plain data as JSON holds it."""
    if isinstance(value, Mapping):
        return {str(key): _shown(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_shown(each) for each in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value if isinstance(value, bool | int | float | str | None) else str(value)
