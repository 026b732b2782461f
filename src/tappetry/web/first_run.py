"""The app while there is no shop yet: look at the invented one, or begin one's own; then the shop's app."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from importlib import resources
from pathlib import Path
from threading import Lock

from fastapi import Depends, FastAPI, Request, Response
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, RedirectResponse
from fastapi.staticfiles import StaticFiles
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Receive, Scope, Send

from tappetry.records.problems import BadInput, TappetryError
from tappetry.services.begin import (
    ASKED,
    ENTRIES,
    WANTED,
    Entry,
    begin,
    begin_demo,
    demo_place,
    must_be_free,
    template,
    templates,
)
from tappetry.services.shop import Shop
from tappetry.web.render import ProblemPage
from tappetry.web.render import templates as pages
from tappetry.web.security import Entrance, Guard

#: Fields for the two templates that most shops change, and one for the rest.
FAMILY, PARTS, MORE = "family.yaml", "parts.csv", "more"
LAYOUT, NAME = "customer_base.html", "tappetry"
NOT_THERE = 404


@dataclass(frozen=True, slots=True)
class FirstPage:
    """What is offered where there is no shop, and why the last try did not begin one."""

    folder: str
    demo_folder: str
    asked: tuple[Entry, ...]
    more: tuple[Entry, ...]
    wanted: tuple[str, ...]
    templates: tuple[str, ...]
    said: Mapping[str, str] = field(default_factory=dict)
    complaints: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BegunPage:
    """A shop that has begun: where it lies, and what is worth a look in its text."""

    folder: str
    told: tuple[str, ...]


class FirstRun:
    """An app that begins a shop in an empty folder, and is that shop's app from then on.

    It is open to this machine alone: nobody can have an account where there is no shop.

    Parameters
    ----------
    place : Path
        The empty folder.
    open_shop : callable
        Makes the app of a shop, and starts whatever stands beside it; called once.
    """

    def __init__(self, place: Path, open_shop: Callable[[Shop], ASGIApp]) -> None:
        must_be_free(place)
        self.place = place
        self._open_shop = open_shop
        self._one = Lock()
        self._begun = False
        self._app: ASGIApp = _first_app(self)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer as the app that is in force now."""
        await self._app(scope, receive, send)

    def begin(self, said: Mapping[str, str], files: Mapping[str, bytes]) -> tuple[str, ...]:
        """Begin a shop, open it, and say what is worth a look in its text."""
        with self._one:
            begun = begin(self.place, said, files)
            self._open(begun.shop)
            return begun.told

    def begin_demo(self) -> None:
        """Open the invented shop."""
        with self._one:
            if not self._begun:
                self._open(begin_demo(self.place))

    def _open(self, shop: Shop) -> None:
        self._app = self._open_shop(shop)
        self._begun = True


def _first_app(run: FirstRun) -> FastAPI:
    def words(request: Request, said: str, status: int) -> Response:
        return show(request, "problem.html", ProblemPage("Not done", said), status)

    guard = Guard(None, Entrance(), words)
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None, dependencies=[Depends(guard.check)])
    app.middleware("http")(guard)
    static = Path(str(resources.files("tappetry.web") / "static"))
    app.mount("/static", StaticFiles(directory=static), name="static")

    def show(request: Request, name: str, page: object, status: int = 200) -> Response:
        made = (
            pages().get_template(name).render(page=page, layout=LAYOUT, shop=NAME, token=guard.token(request))
        )
        return HTMLResponse(made, status)

    def first(
        request: Request, error: BadInput | None = None, said: Mapping[str, str] | None = None
    ) -> Response:
        page = FirstPage(
            folder=str(run.place),
            demo_folder=str(demo_place(run.place)),
            asked=tuple(each for each in ENTRIES if each.name in ASKED),
            more=tuple(each for each in ENTRIES if each.name not in ASKED),
            wanted=WANTED,
            templates=tuple(templates()),
            said=said or {},
            complaints=tuple(map(str, error.complaints)) if error else (),
        )
        return show(request, "first_run.html", page, 400 if error else 200)

    @app.get("/")
    def offer(request: Request) -> Response:
        return first(request)

    @app.get("/begin/{name}")
    def download(name: str) -> Response:
        if name not in templates():
            raise HTTPException(NOT_THERE)
        kind = "text/csv" if name.endswith(".csv") else "application/yaml"
        head = {"Content-Disposition": f'attachment; filename="{name}"'}
        return Response(template(name), media_type=f"{kind}; charset=utf-8", headers=head)

    @app.post("/begin/demo")
    def demo(request: Request) -> Response:
        try:
            run.begin_demo()
        except BadInput as error:
            return first(request, error)
        return RedirectResponse("/", 303)

    @app.post("/begin")
    async def start(request: Request) -> Response:
        form = await request.form()
        said = {each.name: str(form.get(each.name, "")) for each in ENTRIES}
        files: dict[str, bytes] = {}
        for name in (FAMILY, PARTS, MORE):
            for each in form.getlist(name):
                if isinstance(each, UploadFile) and each.filename:
                    files[each.filename if name == MORE else name] = await each.read()
        try:
            told = await run_in_threadpool(run.begin, said, files)
        except BadInput as error:
            return first(request, error, said)
        return show(request, "begun.html", BegunPage(str(run.place), told))

    def told(request: Request, error: Exception) -> Response:
        if isinstance(error, HTTPException):
            missing = error.status_code == NOT_THERE
            said = "There is no such page: there is no shop yet." if missing else str(error.detail)
            return words(request, said, error.status_code)
        return words(request, str(error), 400)

    app.add_exception_handler(HTTPException, told)
    app.add_exception_handler(TappetryError, told)
    return app
