"""The app as a whole: its pages, its guard, and what is shown when something cannot be done."""

from __future__ import annotations

import logging
from importlib import resources
from pathlib import Path
from time import monotonic

from fastapi import Depends, FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import RedirectResponse
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException

from tappetry.presentation.kept import papers
from tappetry.records.problems import OurFault, Refusal, TappetryError
from tappetry.services.backups import DAILY, Schedule
from tappetry.services.ledger import Ledger, ledger_of
from tappetry.services.passwords import Passwords
from tappetry.services.problems_file import save_problem
from tappetry.services.roles import Permission
from tappetry.services.shop import Shop
from tappetry.services.text_in_effect import begin
from tappetry.services.working import StillWorking
from tappetry.web import charts
from tappetry.web.access import LoginWanted, may
from tappetry.web.api.answers import problem
from tappetry.web.beginning import Pages
from tappetry.web.pages import today
from tappetry.web.render import App, ProblemPage, WorkingPage, app_of, render, render_problem
from tappetry.web.security import IN_PLACE, Entrance, Guard, asks_as_program, fragment

#: The status of an answer by the kind of the error.
STATUS = {
    "refused": 422,
    "changed-meanwhile": 409,
    "not-kept": 404,
    "moved-meanwhile": 409,
    "store-unavailable": 503,
    "bad-input": 400,
}
#: After how long a browser asks again for what has been worked at for longer than this; before, at once. [s]
AGAIN = 1


def open_app(
    shop: Shop, url: str = "", entrance: Entrance | None = None, schedule: Schedule = DAILY
) -> FastAPI:
    """The app of a shop with its first page alone; reads the text in effect at once, so that it is quick.

    Raises
    ------
    BadInput
        The shop's text cannot be read.
    StoreUnavailable
        The database does not answer.
    """
    ledger = ledger_of(shop, papers(), url, schedule)
    begin(ledger, alone=not (entrance and entrance.accounts))
    return _begun(ledger, entrance, None)


def make_app(ledger: Ledger, entrance: Entrance | None = None, passwords: Passwords | None = None) -> FastAPI:
    """The app of a shop with its database; open to this machine alone, unless ``entrance`` says otherwise."""
    made = _begun(ledger, entrance, passwords)
    Pages(made).read()
    return made


def _begun(ledger: Ledger, entrance: Entrance | None, passwords: Passwords | None) -> FastAPI:
    guard = Guard(ledger, entrance or Entrance(), _not_read)
    made = FastAPI(
        title="tappetry",
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        dependencies=[Depends(guard.check)],
    )
    made.state.app = App(ledger, guard, passwords or Passwords())
    made.middleware("http")(guard)
    static = Path(str(resources.files("tappetry.web") / "static"))
    made.include_router(charts.router)
    made.mount("/static", StaticFiles(directory=static), name="static")
    made.include_router(today.router)
    made.add_exception_handler(TappetryError, _told)
    made.add_exception_handler(StillWorking, _later)
    made.add_exception_handler(HTTPException, _missing)
    made.add_exception_handler(LoginWanted, _to_login)
    made.add_exception_handler(RequestValidationError, _misread)
    made.add_exception_handler(Exception, _broken)
    return made


def _not_read(request: Request, said: str, status: int) -> Response:
    """What is shown where a request was not read at all."""
    return render_problem(request, ProblemPage("Not done", said), status)


def _told(request: Request, error: Exception) -> Response:
    """What a person is told when an act cannot be done."""
    assert isinstance(error, TappetryError)
    if isinstance(error, OurFault):
        return _broken(request, error)
    data = error.as_data()
    if asks_as_program(request):
        return problem(
            request,
            412 if error.kind == "changed-meanwhile" else STATUS.get(error.kind, 400),
            error.message if isinstance(error, Refusal) else str(error),
            kind=error.kind,
            facts=data["facts"],
            ways_out=list(ways_out(request, error)),
            arithmetic=data.get("arithmetic", ""),
        )
    refused = isinstance(error, Refusal)
    facts = [fact if isinstance(fact, str) else f"{fact['text']} [{fact['owner']}]" for fact in data["facts"]]
    page = ProblemPage(
        title="This cannot be done" if refused else "Not done",
        said=error.message if isinstance(error, Refusal) else str(error),
        facts=tuple(facts),
        arithmetic=data.get("arithmetic", ""),
        ways_out=ways_out(request, error),
    )
    return render_problem(request, page, STATUS.get(error.kind, 400))


def ways_out(request: Request, error: TappetryError) -> tuple[str, ...]:
    """What would help; what the shop pays is told to those alone who may see it."""
    told = tuple(error.as_data()["ways_out"])
    if not isinstance(error, Refusal) or may(request, Permission.PURCHASE):
        return told
    return tuple(way.told for way in error.tried) + told[len(error.tried) :]


def _to_login(request: Request, error: Exception) -> Response:
    """Show the way in; a part of a page makes the whole page go there."""
    if asks_as_program(request):
        answer = problem(request, 401, "This needs a token: Authorization: Bearer ...")
        answer.headers["WWW-Authenticate"] = "Bearer"
        return answer
    if fragment(request):
        return Response(status_code=401, headers={"HX-Redirect": "/login"})
    if IN_PLACE in request.headers:
        said = "Nobody is logged in here any more. Log in in another window; what you typed is still here."
        return render(request, "problem.html", ProblemPage("Not done", said), status=401)
    return RedirectResponse("/login", 303)


def _later(request: Request, error: Exception) -> Response:
    """A page that takes longer comes by itself when it is there, also where no script runs."""
    assert isinstance(error, StillWorking)
    address = request.url.path + (f"?{request.url.query}" if request.url.query else "")
    page = WorkingPage(address, fragment(request), AGAIN if monotonic() - error.since > AGAIN else 0)
    answer = render(request, "working.html", page)
    if not page.within:
        answer.headers["Refresh"] = str(page.seconds)
    return answer


def _missing(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    said = "There is no such page." if error.status_code == 404 else str(error.detail)
    if asks_as_program(request):
        return problem(request, error.status_code, str(error.detail))
    return render_problem(request, ProblemPage("Not done", said), error.status_code)


def _misread(request: Request, error: Exception) -> Response:
    """A form that lacks a field, or holds what cannot be read."""
    assert isinstance(error, RequestValidationError)
    facts = tuple(f"{each['loc'][-1]}: {each['msg']}" for each in error.errors())
    if asks_as_program(request):
        return problem(request, 400, "The request cannot be read.", facts=list(facts))
    page = ProblemPage("Not done", "The form cannot be read.", facts)
    return render_problem(request, page, 400)


def _broken(request: Request, error: Exception) -> Response:
    """A fault of ours: saved to a file that is named, so that it can be studied."""
    logging.getLogger("tappetry").error("a fault at %s", request.url.path, exc_info=error)
    file = save_problem(error, [f"serve {request.method} {request.url.path}"])
    if asks_as_program(request):
        told = problem(request, 500, f"A fault of the program, saved in {file}. Nothing was kept.")
        app_of(request).guard.mark(told)
        return told
    page = ProblemPage(
        "A fault of the program",
        "This is a fault of the program, not of yours. Nothing of this act was kept.",
        (f"The problem is saved in {file}.",),
        ways_out=("Send that file to the developers.",),
    )
    response = render_problem(request, page, 500)
    app_of(request).guard.mark(response)  # a fault passes by the guard
    return response
