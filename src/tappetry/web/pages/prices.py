"""Price lists: brought, read as the shop says, looked at row by row, taken or left."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request, Response, UploadFile
from fastapi.responses import RedirectResponse

from tappetry.records.part import Part
from tappetry.records.problems import BadInput, Where
from tappetry.services import price_look, prices
from tappetry.services.ledger import day_of
from tappetry.services.price_look import PriceLook
from tappetry.services.prices import (
    NEEDED,
    OPTIONAL,
    SUSPICIOUS_PERCENT,
    PriceColumns,
    Proposal,
    ProposedRow,
    Received,
    RowKind,
    Taken,
    Unreadable,
    ValueProblem,
    read_amount,
    read_whole,
)
from tappetry.web.pages.plan import stated_form
from tappetry.web.render import app_of, render
from tappetry.web.security import person

router = APIRouter()
#: How many rows of a kind are shown; all others are taken together, or by the command line.
MOST = 200
#: What a column may tell, in words.
TOLD = {
    "number": "Number of the part",
    "price": "Price that a customer pays",
    "supplier": "Supplier, by our code",
    "unit": "Unit: each, set",
    "pieces": "Pieces in one unit",
    "description": "What it is",
    "cost": "Price that we pay",
    "discount_percent": "Our discount, percent",
    "core_charge": "Core charge",
    "status": "Whether it is sold",
    "superseded_by": "Number that replaces it",
    "date": "Date of the price",
}


@dataclass(frozen=True, slots=True)
class PricesPage:
    """The lists that wait, and the suppliers whose lists may be brought."""

    suppliers: tuple[tuple[str, str, bool], ...]
    waiting: tuple[Received, ...]
    taken: Taken | None = None


@dataclass(frozen=True, slots=True)
class ReadingPage:
    """How the lists of a supplier are read: which of its columns tells what, and what its words mean."""

    list: Received
    columns: tuple[str, ...]
    told: tuple[tuple[str, str, bool, str], ...]
    how: PriceColumns
    first: str
    tax_classes: tuple[str, ...]
    sample: tuple[str, ...]
    said: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ProposalPage:
    """What a list would do: rows that change something, and those that cannot be taken, or even be read."""

    list: Received
    supplier: str
    version: str
    changed: tuple[ProposedRow, ...]
    new: tuple[ProposedRow, ...]
    refused: tuple[ProposedRow, ...]
    unreadable: tuple[Unreadable, ...]
    gone: tuple[Part, ...]
    counts: dict[str, int]
    complete: bool
    stands: bool


@dataclass(frozen=True, slots=True)
class PriceLookPage:
    """How far the looking through of some rows is, and what came of it."""

    list: Received
    look: PriceLook


@router.get("/prices")
def waiting(request: Request) -> Response:
    """The lists that wait."""
    return _lists(request)


def _lists(request: Request, taken: Taken | None = None) -> Response:
    shop = app_of(request).ledger.shop
    suppliers = tuple(
        (code, each.name, prices.reading_file(shop, code).is_file())
        for code, each in shop.catalogue.suppliers.items()
    )
    return render(request, "prices.html", PricesPage(suppliers, prices.waiting(shop), taken), "parts")


@router.post("/prices")
def bring(request: Request, file: UploadFile, supplier: Annotated[str, Form()] = "") -> Response:
    """Bring a list; it waits until somebody decides."""
    content = file.file.read()
    found = prices.receive(app_of(request).ledger, supplier, file.filename or "", content, person(request))
    return _to(found.mark)


@router.get("/prices/{mark}")
def look(request: Request, mark: str) -> Response:
    """What a list would do."""
    shop = app_of(request).ledger.shop
    found = prices.received(shop, mark)
    how = prices.reading(shop, found.supplier)
    if how is None:
        return _to(mark, "/reading")
    try:
        today = app_of(request).ledger.today
        proposed = prices.proposal(shop, found.text, found.file, how, today)
    except BadInput as error:
        return _reading(request, found, how, error)
    supplier = shop.catalogue.suppliers[found.supplier].name
    return render(request, "price_list.html", _page(found, supplier, proposed, how), "parts")


def _page(found: Received, supplier: str, proposed: Proposal, how: PriceColumns) -> ProposalPage:
    open_rows = [row for row in proposed.rows if not row.refused]
    changed = [row for row in open_rows if row.kind is RowKind.CHANGED]
    new = [row for row in open_rows if row.kind is RowKind.NEW]
    return ProposalPage(
        list=found,
        supplier=supplier,
        version=proposed.catalogue_version,
        changed=tuple(changed[:MOST]),
        new=tuple(new[:MOST]),
        refused=proposed.refused[:MOST],
        unreadable=proposed.unreadable[:MOST],
        gone=proposed.gone[:MOST],
        counts={
            "changed": len(changed),
            "new": len(new),
            "same": sum(row.kind is RowKind.SAME for row in open_rows),
            "asked": sum(row.suspicious for row in (*changed, *new)),
            "refused": len(proposed.refused),
            "unreadable": len(proposed.unreadable),
            "gone": len(proposed.gone),
            "undoubted": len(prices.undoubted(proposed)),
        },
        complete=how.complete,
        stands=prices.says_what_is_listed(proposed),
    )


@router.get("/prices/{mark}/reading")
def reading(request: Request, mark: str) -> Response:
    """How the lists of this supplier are read."""
    shop = app_of(request).ledger.shop
    found = prices.received(shop, mark)
    return _reading(request, found, prices.reading(shop, found.supplier))


def _reading(
    request: Request, found: Received, how: PriceColumns | None, error: BadInput | None = None
) -> Response:
    sign, columns = prices.header_of(found.text)
    classes = tuple(app_of(request).ledger.shop.knowledge.book.money["tax"])
    stands = how or PriceColumns({}, found.supplier, parted_by=sign, new_tax_class=classes[0])
    names = {column.lower().replace(" ", "_"): column for column in columns}
    page = ReadingPage(
        list=found,
        columns=columns,
        told=tuple(
            (name, TOLD[name], name in NEEDED, stands.columns.get(name, "" if how else names.get(name, "")))
            for name in (*NEEDED, *OPTIONAL)
        ),
        how=stands,
        first=found.supplier,
        tax_classes=classes,
        sample=tuple(found.text.splitlines()[:4]),
        said=tuple(map(str, error.complaints)) if error else (),
    )
    return render(request, "price_reading.html", page, "parts", 400 if error else 200)


@router.post("/prices/{mark}/reading")
def keep(request: Request, mark: str, stated: Annotated[dict[str, str], Depends(stated_form)]) -> Response:
    """Keep how the lists of this supplier are read, for later ones too."""
    shop = app_of(request).ledger.shop
    found = prices.received(shop, mark)
    form = {name: value.strip() for name, value in stated.items()}
    how = None
    try:
        how = _stated(found, form)
        prices.keep_reading(shop, found.supplier, how)
    except BadInput as error:
        return _reading(request, found, how or prices.reading(shop, found.supplier), error)
    return _to(mark)


def _stated(found: Received, form: dict[str, str]) -> PriceColumns:
    """The reading that a form states."""
    sign, columns = prices.header_of(found.text)
    chosen = {name: form.get(f"column.{name}", "") for name in (*NEEDED, *OPTIONAL)}
    named = {name: column for name, column in chosen.items() if column}
    try:
        percent = read_amount(form.get("percent") or str(SUSPICIOUS_PERCENT))
        lead_days = read_whole(form.get("lead_days") or "0", 0)
    except ValueProblem as problem:
        raise BadInput.at(Where("the form"), problem.message, "", problem.expected) from None
    prefix = form.get("prefix", "")
    return PriceColumns(
        columns=named,
        supplier=found.supplier,
        ignored=tuple(column for column in columns if column not in named.values()),
        parted_by=sign,
        units=_words(form.get("units", "")),
        statuses=_words(form.get("statuses", "")),
        prefixes={found.supplier: prefix} if prefix else {},
        complete=form.get("complete") == "yes",
        new_lead_days=lead_days,
        new_tax_class=form.get("tax_class", ""),
        new_returnable=form.get("returnable") == "yes",
        suspicious_change_percent=percent,
    )


def _words(text: str) -> dict[str, str]:
    """Words with their meanings, one on each line: ``EA = each``."""
    found = {}
    for line in text.splitlines():
        word, sign, meaning = line.partition("=")
        if line.strip() and not (sign and word.strip() and meaning.strip()):
            said = line.strip()[:60]
            raise BadInput.at(Where("the form"), "a word has no meaning", said, "such as EA = each")
        if line.strip():
            found[word.strip()] = meaning.strip()
    return found


@router.post("/prices/{mark}/looks")
def look_through(
    request: Request,
    mark: str,
    version: Annotated[str, Form()],
    which: Annotated[str, Form()] = "",
    line: Annotated[list[int] | None, Form()] = None,
    gone: Annotated[list[str] | None, Form()] = None,
) -> Response:
    """Have the rows that were chosen looked through, or all about which nothing is odd."""
    whole = which == "undoubted"
    key = price_look.ask(
        app_of(request).ledger,
        mark,
        None if whole else line or [],
        [] if whole else gone or [],
        version,
        person(request),
    )
    return _to(mark, f"/looks/{key}")


@router.get("/prices/{mark}/looks/{look}")
def how_far(request: Request, mark: str, look: str) -> Response:
    """How far the looking through is, and what came of it."""
    ledger = app_of(request).ledger
    page = PriceLookPage(prices.received(ledger.shop, mark), price_look.look(ledger, mark, look))
    return render(request, "price_look.html", page, "parts")


@router.post("/prices/{mark}/looks/{look}/stop")
def stop(request: Request, mark: str, look: str) -> Response:
    """Stop looking through."""
    price_look.stop(app_of(request).ledger, mark, look)
    return _to(mark, f"/looks/{look}")


@router.post("/prices/{mark}/looks/{look}/again")
def look_again(request: Request, mark: str, look: str) -> Response:
    """Have the same rows looked through again."""
    key = price_look.ask_again(app_of(request).ledger, mark, look, person(request))
    return _to(mark, f"/looks/{key}")


@router.post("/prices/{mark}/looks/{look}/take")
def take(request: Request, mark: str, look: str) -> Response:
    """Take the rows that were looked through."""
    return _lists(request, price_look.take(app_of(request).ledger, mark, look, person(request)))


@router.post("/prices/{mark}/stand")
def stand(request: Request, mark: str) -> Response:
    """Write down that the list says what is listed."""
    ledger = app_of(request).ledger
    found = prices.received(ledger.shop, mark)
    how = prices.reading(ledger.shop, found.supplier)
    if how is None:
        return _to(mark, "/reading")
    proposed = prices.proposal(ledger.shop, found.text, found.file, how, ledger.today)
    prices.stand(ledger, found.supplier, proposed, day_of(found.at), person(request))
    prices.forget(ledger.shop, mark)
    return RedirectResponse("/prices", 303)


@router.post("/prices/{mark}/leave")
def leave(request: Request, mark: str) -> Response:
    """Leave the list."""
    prices.leave(app_of(request).ledger, mark, person(request))
    return RedirectResponse("/prices", 303)


def _to(mark: str, part: str = "") -> Response:
    return RedirectResponse(f"/prices/{mark}{part}", 303)
