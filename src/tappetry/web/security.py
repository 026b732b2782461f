"""What every answer and every form must keep to: headers, known hosts, and tokens against forged forms."""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Awaitable, Callable
from hashlib import sha256
from urllib.parse import quote, unquote

from fastapi import HTTPException, Request, Response

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
#: Names by which this machine is reached from itself; any other is a foreign page that points at us.
LOOPBACK = ("127.0.0.1", "localhost", "[::1]")
BROWSER, PERSON = "tappetry-browser", "tappetry-person"
TOKEN = "token"
#: Who acts where nobody said who he is.
NOBODY = "not said"
#: The longest form that is read. [byte]
LARGEST = 2_000_000
#: The longest form with a photo. [byte]
LARGEST_PHOTO = 9_000_000
#: Where pages begin that a customer reaches by a link which only he has; they show nothing else of the shop.
CUSTOMERS = "/c/"
#: No database keeps this sign in a text.
NUL = "\x00"
SAFE = ("GET", "HEAD", "OPTIONS")
Next = Callable[[Request], Awaitable[Response]]


class Guard:
    """Knows the tokens of one run of the server."""

    def __init__(self) -> None:
        self._key = secrets.token_bytes(32)

    async def __call__(self, request: Request, proceed: Next) -> Response:
        """Let a request in if it names this machine, and mark every answer."""
        refused = _refused(request)
        if refused is not None:
            response = refused
        else:
            browser = request.cookies.get(BROWSER, "")
            request.state.browser = browser or secrets.token_urlsafe(24)
            response = await proceed(request)
            if not browser:
                _set(response, BROWSER, request.state.browser)
        for name, value in HEADERS.items():
            response.headers[name] = value
        return response

    def token(self, request: Request) -> str:
        """The token that forms of a browser carry."""
        return hmac.new(self._key, request.state.browser.encode(), sha256).hexdigest()

    async def check(self, request: Request) -> None:
        """Refuse a form that did not come from one of our pages."""
        if request.method in SAFE:
            return
        form = await request.form()
        if any(NUL in str(value) for value in form.values()):
            raise HTTPException(400, "A field holds a sign that no keyboard types.")
        if not hmac.compare_digest(str(form.get(TOKEN, "")).encode(), self.token(request).encode()):
            raise HTTPException(
                403, "This form is too old or came from elsewhere. Load the page and try again."
            )


def _refused(request: Request) -> Response | None:
    host = request.headers.get("host", "")
    name = host if host.endswith("]") else host.rpartition(":")[0] or host
    if name not in LOOPBACK:
        return Response("This server answers to this machine alone.", 421, media_type="text/plain")
    if NUL in unquote(str(request.url)):
        return Response("The address holds a sign that no keyboard types.", 400, media_type="text/plain")
    length = request.headers.get("content-length", "0")
    most = LARGEST_PHOTO if request.url.path.startswith(CUSTOMERS) else LARGEST
    if not length.isdecimal() or int(length) > most:
        return Response(f"More than {most} bytes are not read.", 413, media_type="text/plain")
    if request.method not in SAFE and "content-length" not in request.headers:
        return Response("A form says how long it is.", 411, media_type="text/plain")
    return None


def person(request: Request) -> str:
    """Who says he sits at this browser."""
    return unquote(request.cookies.get(PERSON, "")) or NOBODY


def name_person(response: Response, name: str) -> None:
    """Remember who sits at this browser."""
    _set(response, PERSON, quote(name.strip()[:60]))


def _set(response: Response, name: str, value: str) -> None:
    response.set_cookie(name, value, httponly=True, samesite="strict", path="/", max_age=31_536_000)
