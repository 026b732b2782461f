"""Tells when the first answer has been given: much of what stands beside the server may wait for that."""

from __future__ import annotations

from collections.abc import Callable

from starlette.types import ASGIApp, Receive, Scope, Send


class FirstAnswer:
    """An app that says when it has answered for the first time.

    Parameters
    ----------
    app : ASGIApp
    then : callable
        Is called once, when the whole answer has been handed over; must not wait for anything.
    """

    def __init__(self, app: ASGIApp, then: Callable[[], None]) -> None:
        self._app = app
        self._then = then
        self._given = False

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer."""
        await self._app(scope, receive, send)
        if not self._given:
            self._given = True
            self._then()
