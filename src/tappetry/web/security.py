"""What every request must keep to: known hosts, headers, who asks, and tokens against forged forms."""

from __future__ import annotations

import asyncio
import hmac
import json
import math
import re
import secrets
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from urllib.parse import quote, unquote

from fastapi import HTTPException, Request, Response
from fastapi.concurrency import run_in_threadpool
from starlette.datastructures import FormData

from tappetry.records.problems import TappetryError
from tappetry.services.ledger import Ledger
from tappetry.services.links import mark_of
from tappetry.services.sessions import Seat, seat_of_session, seat_of_token
from tappetry.services.text_in_effect import is_kept_up, keep_up
from tappetry.services.working import wait_no_longer_than
from tappetry.web import limits
from tappetry.web.access import must_be_allowed
from tappetry.web.api.answers import problem
from tappetry.web.limits import Rate

#: No script or style but our own files, nothing from anywhere else, no frame around us.
CONTENT_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "Content-Security-Policy": CONTENT_POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "Cache-Control": "no-store",
}
#: Where others than this machine are let in: this name is reached by an encrypted connection alone.
STRICT_TRANSPORT = "max-age=31536000"
#: Names by which this machine is reached from itself; any other is a foreign page that points at us.
LOOPBACK = ("127.0.0.1", "localhost", "[::1]")
BROWSER, PERSON = "tappetry-browser", "tappetry-person"
#: What a browser holds that was let in; no other name of a host can set it, nor an open connection.
SESSION = "__Host-tappetry"
#: Where the interface for programs begins.
PROGRAMS = "/api/"
TOKEN = "token"
#: Who acts where nobody said who he is.
NOBODY = "not said"
#: The longest form that is read. [byte]
LARGEST = 2_000_000
#: The longest form with a photo. [byte]
LARGEST_PHOTO = 9_000_000
#: Where price lists are sent to, and the longest form with one. [byte]
LISTS, LARGEST_LIST = "/prices", 12_000_000
#: Where pages begin that a customer reaches by a link which only he has; they show nothing else of the shop.
CUSTOMERS = "/c/"
#: How long a request is, as it says itself. [byte]
LENGTH = re.compile(r"[0-9]{1,1000}")
#: No database keeps this sign in a text.
NUL = "\x00"
SAFE = ("GET", "HEAD", "OPTIONS")
#: Fields of forms that nobody typed, and those that are shown to nobody again.
UNSHOWN = (TOKEN, "seen", "wanted", "version", "sheet", "mark", "change", "first", "password", "old", "new")
#: A page that waits where it stands for what comes of its form, and where it is to go then.
IN_PLACE, GOES_TO = "x-in-place", "x-goes-to"
SEE_OTHER = 303
Next = Callable[[Request], Awaitable[Response]]
#: Makes a page of some words with a status.
Show = Callable[[Request, str, int], Response]


@dataclass(frozen=True, slots=True)
class Entrance:
    """Who is let in: this machine alone, or whoever has an account, by an encrypted connection.

    ``names`` are those by which the server is reached.
    """

    names: tuple[str, ...] = LOOPBACK
    accounts: bool = False


class Guard:
    """Knows who may enter, and the tokens of one run of the server.

    Without a ledger there is no shop yet, and nobody has an account: this machine alone is let in. ``show``
    makes the page that says what is too large to be read.
    """

    def __init__(self, ledger: Ledger | None, entrance: Entrance, show: Show) -> None:
        assert ledger is not None or not entrance.accounts
        self._ledger, self._entrance, self._show = ledger, entrance, show
        self._key = secrets.token_bytes(32)
        self._rate = Rate()

    @property
    def accounts(self) -> bool:
        """Whether one needs an account."""
        return self._entrance.accounts

    async def __call__(self, request: Request, proceed: Next) -> Response:
        """Let a request in if it names this machine, note who asks, and mark every answer."""
        browser = request.cookies.get(BROWSER, "")
        request.state.browser = browser or secrets.token_urlsafe(24)
        refused = self._refused(request)
        if refused is not None:
            response = refused
        else:
            response = await self._in_time(request, proceed)
            if not browser and not asks_as_program(request):
                self.set_cookie(response, BROWSER, request.state.browser)
            if response.status_code == SEE_OTHER and IN_PLACE in request.headers:
                response.status_code = 200
                response.headers[GOES_TO] = response.headers["location"]
                del response.headers["location"]
        self.mark(response)
        return response

    def mark(self, response: Response) -> None:
        """Put the headers on an answer that every answer carries."""
        response.headers.update(HEADERS)
        if self.accounts:
            response.headers["Strict-Transport-Security"] = STRICT_TRANSPORT

    def token(self, request: Request) -> str:
        """The token that forms of a browser carry; another one as soon as somebody is let in there."""
        held = request.cookies.get(SESSION, "") if self.accounts else ""
        return hmac.new(self._key, f"{request.state.browser} {held}".encode(), sha256).hexdigest()

    async def check(self, request: Request) -> None:
        """Refuse what whoever asks may not do, and a form that did not come from one of our pages.

        Raises
        ------
        LoginWanted
            Nobody is let in here.
        HTTPException
            No permission, or no token.
        """
        request.state.seat = None
        try:
            if self._ledger is not None and not is_kept_up(self._ledger):
                await run_in_threadpool(keep_up, self._ledger)
            if self.accounts:
                request.state.seat = await run_in_threadpool(self._seat, request)
        except TappetryError:  # as where the database does not answer
            if request.method not in SAFE and not asks_as_program(request):
                request.state.typed = _typed(await request.form())  # shown, and so not lost
            raise
        if self.accounts:
            must_be_allowed(request, request.state.seat)
        if request.method in SAFE:
            if reads_page(request):
                wait_no_longer_than(limits.PATIENCE)
            return
        if asks_as_program(request):
            await _must_be_a_program(request)
            return
        form = await request.form()
        request.state.typed = _typed(form)
        if any(NUL in str(value) for value in form.values()):
            raise HTTPException(400, "A field holds a sign that no keyboard types.")
        if not hmac.compare_digest(str(form.get(TOKEN, "")).encode(), self.token(request).encode()):
            raise HTTPException(
                403, "This form is too old or came from elsewhere. Load the page and try again."
            )

    def set_cookie(self, response: Response, name: str, value: str, seconds: int | None = 31_536_000) -> None:
        """Let a browser hold something, out of reach of scripts and other sites."""
        response.set_cookie(
            name, value, httponly=True, samesite="strict", path="/", max_age=seconds, secure=self.accounts
        )

    async def _in_time(self, request: Request, proceed: Next) -> Response:
        """Answer a program if it does not ask too often, and does not have to wait too long."""
        if not asks_as_program(request):
            return await proceed(request)
        address = request.client.host if request.client else ""
        wait = self._rate.wait(mark_of(request.headers.get("authorization", address)))
        if wait:
            return turned_away(request, "Too many requests.", 429, {"Retry-After": str(math.ceil(wait))})
        try:
            return await asyncio.wait_for(proceed(request), limits.LONGEST)
        except TimeoutError:
            said = (
                f"This took longer than {limits.LONGEST:g} s. What an act has done by now is in the history."
            )
            return turned_away(request, said, 503, {"Retry-After": "60"})

    def _seat(self, request: Request) -> Seat | None:
        """Who asks: a program by its token, a person by his session; neither can take the other's way."""
        assert self._ledger is not None
        if asks_as_program(request):
            kind, _, token = request.headers.get("authorization", "").partition(" ")
            return seat_of_token(self._ledger, token) if kind.lower() == "bearer" and token else None
        token = request.cookies.get(SESSION, "")
        return seat_of_session(self._ledger, token) if token else None

    def _refused(self, request: Request) -> Response | None:
        host = request.headers.get("host", "")
        name = host if host.endswith("]") else host.rpartition(":")[0] or host
        if name.lower() not in self._entrance.names:
            said = "by another name" if self.accounts else "to this machine alone"
            return turned_away(request, f"This server answers {said}.", 421)
        if self.accounts and request.url.scheme != "https":
            return turned_away(request, "This server answers by https alone.", 421)
        return _too_odd(request) or self._too_large(request)

    def _too_large(self, request: Request) -> Response | None:
        path, length = request.url.path, int(request.headers.get("content-length", "0"))
        most = LARGEST_PHOTO if path.startswith(CUSTOMERS) else LARGEST_LIST if path == LISTS else LARGEST
        if length <= most:
            return None
        said = (
            f"What was sent has {length} bytes, and no more than {most} are read here. Nothing was kept. "
            "Send less: a smaller picture, or a part of the file."
        )
        return turned_away(request, said, 413) if asks_as_program(request) else self._show(request, said, 413)


def turned_away(
    request: Request, said: str, status: int, headers: Mapping[str, str] | None = None
) -> Response:
    """What is answered before any page is asked: words, or to a program a problem as all others are."""
    if not asks_as_program(request):
        return Response(said, status, headers, "text/plain")
    told = problem(request, status, said)
    told.headers.update(headers or {})
    return told


def asks_as_program(request: Request) -> bool:
    """Whether a request came to the interface for programs."""
    return request.url.path.startswith(PROGRAMS)


def reads_page(request: Request) -> bool:
    """Whether a browser asks for a page or a part of one, and can be told to ask again."""
    accepted = request.headers.get("accept", "")
    return not asks_as_program(request) and (fragment(request) or "text/html" in accepted)


def fragment(request: Request) -> bool:
    """Whether a page asks for a part of itself."""
    return request.headers.get("hx-request") == "true"


def _typed(form: FormData) -> tuple[tuple[str, str], ...]:
    """The fields of a form that somebody filled in, and that may be shown to him again."""
    return tuple(
        (name, value)
        for name, value in form.multi_items()
        if isinstance(value, str) and value.strip() and name not in UNSHOWN
    )


async def _must_be_a_program(request: Request) -> None:
    """Refuse what a page elsewhere could make a browser send, and what no database keeps.

    A page cannot send JSON to another host without being let to, and here nobody lets it.
    """
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != "application/json" and request.headers.get("content-length", "0") != "0":
        raise HTTPException(415, "Send JSON: Content-Type application/json.")
    if "origin" in request.headers or request.headers.get("sec-fetch-site", "none") != "none":
        raise HTTPException(403, "Programs ask here, not pages.")
    body = await request.body()
    try:
        said = json.dumps(json.loads(body or b"{}"), ensure_ascii=False, allow_nan=False)
        said.encode()
    except (ValueError, RecursionError):
        raise HTTPException(400, "The body is no JSON that can be kept: see signs, numbers, depth.") from None
    if "\\u0000" in said:
        raise HTTPException(400, "A text holds a sign that no keyboard types.")


def _too_odd(request: Request) -> Response | None:
    if NUL in unquote(str(request.url)):
        return turned_away(request, "The address holds a sign that no keyboard types.", 400)
    if LENGTH.fullmatch(request.headers.get("content-length", "0")) is None:
        return turned_away(request, "It is not said in figures how long this is.", 400)
    if request.method not in SAFE and "content-length" not in request.headers:
        return turned_away(request, "A form says how long it is.", 411)
    return None


def person(request: Request) -> str:
    """Who sits at this browser: the account, or without accounts whoever he says he is."""
    seat: Seat | None = getattr(request.state, "seat", None)
    if seat is not None:
        return seat.name
    return unquote(request.cookies.get(PERSON, "")) or NOBODY


def name_person(guard: Guard, response: Response, name: str) -> None:
    """Remember who says he sits at this browser."""
    guard.set_cookie(response, PERSON, quote(name.strip()[:60]))
