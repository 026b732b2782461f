"""The app while it comes up: the first page is shown at once, and all others are read after it.

To read every page takes longer than to show the first one. They are read by whoever asks for another page
first, or beside the server once the first answer was given.
"""

from __future__ import annotations

from collections.abc import Callable
from threading import Lock

from fastapi import FastAPI
from fastapi.concurrency import run_in_threadpool
from starlette.types import ASGIApp, Receive, Scope, Send

#: What is there from the beginning: the first page, and what belongs to it.
FIRST_PAGE, BESIDE_IT = "/", "/static/"


class Pages:
    """All pages of an app but the first, which are read once.

    Parameters
    ----------
    app : FastAPI
        With its first page.
    """

    def __init__(self, app: FastAPI) -> None:
        self._app = app
        self._one = Lock()
        self.are_read = False

    def read(self) -> None:
        """Read them, unless they are; others who come meanwhile wait."""
        with self._one:
            if not self.are_read:
                from tappetry.web.api.every import ROUTERS
                from tappetry.web.pages.every import LATER

                for router in (*LATER, *ROUTERS):
                    self._app.include_router(router)
                self.are_read = True


class Beginning:
    """An app that answers as soon as it has its first page, and says when it has answered for the first time.

    Parameters
    ----------
    app : ASGIApp
    pages : Pages
        Of that app.
    then : callable
        Is called once, when a whole answer has been handed over; must not wait for anything.
    """

    def __init__(self, app: ASGIApp, pages: Pages, then: Callable[[], None]) -> None:
        self._app = app
        self._pages = pages
        self._then = then
        self._answered = False

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer."""
        path = str(scope.get("path", FIRST_PAGE))
        if not (self._pages.are_read or path == FIRST_PAGE or path.startswith(BESIDE_IT)):
            await run_in_threadpool(self._pages.read)
        await self._app(scope, receive, send)
        if not self._answered:
            self._answered = True
            self._then()
