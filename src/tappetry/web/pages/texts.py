"""The shop's own text: in effect, proposed in its place, looked through, written, put into effect."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from tappetry.records.problems import BadInput
from tappetry.services import text_writing, texts
from tappetry.services.text_files import DiffLine, differing, read_files
from tappetry.services.text_proposal import Proposal, proposal
from tappetry.services.text_writing import LONGEST, Page
from tappetry.services.texts import Changed, Kept, Look, TextVersion
from tappetry.web.render import app_of, render
from tappetry.web.security import person

router = APIRouter(prefix="/shop/text")


@dataclass(frozen=True, slots=True)
class TextPage:
    """The text in effect, the one that would take its place, and every version that was in effect."""

    proposed: Proposal
    look: Look
    files: tuple[str, ...]
    versions: tuple[TextVersion, ...]


@dataclass(frozen=True, slots=True)
class LookPage:
    """How far the looking through is, and what came of it."""

    proposed: Proposal
    look: Look


@dataclass(frozen=True, slots=True)
class FilePage:
    """One file as it is written; ``theirs`` is what differs from what stands there by now."""

    file: Page
    longest: int
    said: tuple[str, ...] = ()
    theirs: tuple[DiffLine, ...] = ()
    kept: bool = True


@dataclass(frozen=True, slots=True)
class VersionPage:
    """A version that was in effect."""

    version: Kept
    latest: bool


@router.get("")
def overview(request: Request) -> Response:
    """What is in effect and what would take its place."""
    ledger = app_of(request).ledger
    proposed = proposal(ledger)
    page = TextPage(
        proposed,
        texts.look(ledger, proposed),
        tuple(sorted({*proposed.files, *read_files(ledger.shop.folder)})),
        tuple(texts.versions(ledger)),
    )
    return render(request, "text.html", page, "shop")


@router.get("/look")
def how_far(request: Request) -> Response:
    """How far the looking through is."""
    ledger = app_of(request).ledger
    proposed = proposal(ledger)
    return render(request, "text_look.html", LookPage(proposed, texts.look(ledger, proposed)), "shop")


@router.post("/look")
def look_through(request: Request) -> Response:
    """Have the proposed text looked through."""
    texts.ask_look(app_of(request).ledger, person(request))
    return _back("look")


@router.post("/look/stop")
def stop(request: Request) -> Response:
    """Stop looking it through."""
    texts.stop_look(app_of(request).ledger)
    return _back("look")


@router.get("/file")
def file(request: Request, name: str = "") -> Response:
    """One file to be written."""
    found = text_writing.page(app_of(request).ledger, name)
    said = text_writing.complaints(found.path, None if found.gone else found.text.encode())
    return render(request, "text_file.html", FilePage(found, LONGEST, said), "shop")


@router.post("/file")
def write(
    request: Request,
    name: Annotated[str, Form()] = "",
    text: Annotated[str, Form()] = "",
    seen: Annotated[str, Form()] = "",
) -> Response:
    """Keep what was written; whatever is wrong with it, it stands in the form again."""
    ledger = app_of(request).ledger
    text = text.replace("\r\n", "\n")
    try:
        said = text_writing.write(ledger, name, text, seen, person(request))
    except Changed as error:
        now = text_writing.page(ledger, name)
        theirs = differing(now.text.encode(), text.encode())
        typed = Page(name, text, now.seen, now.draft)
        return _again(request, FilePage(typed, LONGEST, (str(error),), theirs, kept=False), 409)
    except BadInput as error:
        typed = Page(name, text, seen)
        return _again(request, FilePage(typed, LONGEST, tuple(map(str, error.complaints)), kept=False), 400)
    if said:
        return _again(request, FilePage(text_writing.page(ledger, name), LONGEST, said), 200)
    return _back("changes")


@router.post("/file/away")
def take_away(
    request: Request, name: Annotated[str, Form()] = "", seen: Annotated[str, Form()] = ""
) -> Response:
    """Propose a text without a file."""
    text_writing.take_away(app_of(request).ledger, name, seen, person(request))
    return _back("changes")


@router.post("/file/forget")
def forget(
    request: Request, name: Annotated[str, Form()] = "", seen: Annotated[str, Form()] = ""
) -> Response:
    """Throw away what was written in the place of a file."""
    text_writing.throw_away(app_of(request).ledger, name, seen)
    return _back("changes")


@router.post("/effect")
def take_effect(
    request: Request, mark: Annotated[str, Form()] = "", reason: Annotated[str, Form()] = ""
) -> Response:
    """Let the proposed text take effect."""
    texts.put_into_effect(app_of(request).ledger, mark, reason, person(request))
    return _back("versions")


@router.post("/again")
def take_up_again(request: Request, version: Annotated[int, Form()] = 0) -> Response:
    """Propose the text of an earlier version."""
    text_writing.go_back(app_of(request).ledger, version, person(request))
    return _back("changes")


@router.get("/versions/{version}")
def version(request: Request, version: int) -> Response:
    """A version that was in effect."""
    ledger = app_of(request).ledger
    found = texts.kept(ledger, version)
    page = VersionPage(found, found.number == texts.versions(ledger)[0].number)
    return render(request, "text_version.html", page, "shop")


def _again(request: Request, page: FilePage, status: int) -> Response:
    return render(request, "text_file.html", page, "shop", status=status)


def _back(place: str) -> Response:
    return RedirectResponse(f"/shop/text#{place}", 303)
