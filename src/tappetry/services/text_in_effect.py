"""Which text of a shop is in effect: out of the database, laid down whole, taken up when the app starts."""

from __future__ import annotations

import json
import secrets
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.orm import Session

from tappetry.records.problems import BadInput, Ground, Refusal, Where
from tappetry.services.files import save
from tappetry.services.ledger import Ledger
from tappetry.services.opening import say
from tappetry.services.shop import Shop
from tappetry.services.text_check import audited
from tappetry.services.text_files import KEPT, lay_down, read_files, whole_mark, write_files
from tappetry.store import texts
from tappetry.store.accepted import agreed_in_another
from tappetry.store.database import Database
from tappetry.store.problems import ChangedMeanwhile, StoreUnavailable
from tappetry.store.texts import Marks
from tappetry.store.texts_models import TextVersion

#: Who acts when the app starts, as it stands in the trail.
START = "start of the app"
#: Each names the files that somebody is writing, so that a program that is ended there goes on with it later.
NOTES = "to-write*.json"


def shop_in_effect(shop: Shop, database: Database) -> Shop:
    """The shop with the text that is in effect; the same one where that is its text already.

    Raises
    ------
    StoreUnavailable
        The database does not answer.
    BadInput
        The shop's folder cannot be written to.
    """
    with database.reading() as session:
        mark = texts.mark_in_effect(session)
        if not mark or (shop.kept is not None and shop.kept.name == mark):
            return shop
        version = texts.latest(session)
        assert version is not None
        files = texts.files_of(session, version)
    return Shop(shop.folder, lay_down(files, shop.folder, version.mark))


def is_kept_up(ledger: Ledger) -> bool:
    """Whether nobody wrote into the database since the text in effect was last asked for: told at once.

    A database that is not one file does not tell, and is asked each time.
    """
    kept = ledger.shop.kept
    return kept is None or ledger.text_seen == (ledger.database.changes.mark(), kept.name)


def keep_up(ledger: Ledger) -> None:
    """Go on with the text that is in effect, where another server of this database let it take effect."""
    if ledger.shop.kept is None:
        return
    before = ledger.database.changes.mark()  # what is written after this is looked for the next time
    try:
        shop = shop_in_effect(ledger.shop, ledger.database)
    except StoreUnavailable:  # whatever is asked for tells it, if it needs the database
        return
    if shop is not ledger.shop:
        ledger.change_text(read(shop))
    assert shop.kept is not None, "it had a text that is kept, and goes on with one"
    ledger.text_seen = None if before is None else (before, shop.kept.name)


def read(shop: Shop) -> Shop:
    """A shop whose text is read.

    Raises
    ------
    BadInput
        It cannot be.
    """
    assert shop.catalogue.version
    return shop


def marks_of(shop: Shop, whole: str) -> Marks:
    """The marks of a shop's text."""
    return Marks(whole, shop.knowledge.version, shop.catalogue.version)


def begin(ledger: Ledger, alone: bool) -> None:
    """Take up the text that is in effect, when the app starts.

    Files that were changed while it did not run take effect where whoever sits at the machine may do
    everything, and their audit finds no mistake. Else the version that was in effect stays so, and the
    page Shop tells it.

    Parameters
    ----------
    ledger : Ledger
    alone : bool
        The app is open to this machine alone.

    Raises
    ------
    BadInput
        At the first start of all: the text cannot be read.
    """
    folder = ledger.shop.folder
    with ledger.database.reading() as session:
        now = texts.latest(session)
    _finish_writing(folder, "" if now is None else now.mark)
    files = read_files(folder)
    mark = whole_mark(files)
    if now is None:
        _take(ledger, None, files, mark)
    elif now.mark != mark:
        mistakes = sum(not each.is_note for each in audited(folder)) if alone else 0
        if alone and not mistakes:
            _take(ledger, now, files, mark)
        else:
            found = f" and has {mistakes} mistake{'s' * (mistakes != 1)}" if mistakes else ""
            say(
                f"the text in {folder} is not the one in effect{found}; "
                f"version {now.number} stays in effect, see the page Shop"
            )
    ledger.change_text(read(shop_in_effect(ledger.shop, ledger.database)))


def must_keep_currency(session: Session, before: Shop, then: Shop) -> None:
    """Refuse a text that reckons in another currency than jobs were agreed in: the books have one.

    Raises
    ------
    Refusal
        The currency becomes another one, and a job was agreed in another than that.
    """
    old, new = (shop.knowledge.book.money.get("currency") for shop in (before, then))
    found = None if old == new else agreed_in_another(session, str(new))
    if found is not None:
        raise Refusal(
            f"The shop cannot go from {old} to {new}: its books are kept in one currency.",
            [Ground(f"job {found[0]} was agreed in {found[1]}", "the books of the shop")],
            [
                f"state money.currency {old} again",
                "begin another folder and database for the new currency, and keep these for what was agreed",
            ],
        )


def _take(ledger: Ledger, now: TextVersion | None, files: Mapping[str, bytes], mark: str) -> None:
    """Let the files of the folder take effect at a start, unless another server was quicker."""
    shop = Shop(ledger.shop.folder, lay_down(files, ledger.shop.folder, mark))
    marks = marks_of(shop, mark)
    before_it = ledger.shop if now is None else shop_in_effect(ledger.shop, ledger.database)
    if now is None:
        mistakes = sum(not each.is_note for each in audited(shop.text))
        said = f"version 1 of the shop's text is in effect, as it stood at the first start: {mark[:12]}"
        why = f"its audit finds {mistakes} mistake{'s' * (mistakes != 1)}" if mistakes else ""
    else:
        said = f"version {now.number + 1} of the shop's text is in effect: {now.mark[:12]} became {mark[:12]}"
        why = "files of the folder were changed; their audit finds no mistake"
    try:
        with ledger.database.writing() as session:
            must_keep_currency(session, before_it, shop)
            before = 0 if now is None else now.number
            texts.keep(session, before, files, marks, ledger.act(START, said, why))
    except ChangedMeanwhile:
        return
    except Refusal as refused:
        say(f"the text in {ledger.shop.folder} does not take effect. {refused.message}")


@contextmanager
def writing_files(folder: Path, mark: str, files: Mapping[str, bytes | None]) -> Iterator[None]:
    """Write files of the shop's folder once the text they belong to is in effect, which the block sees to.

    What is going to be written is noted first, in a note of its own, for others may be at it too. A block
    that fails writes nothing.

    Parameters
    ----------
    folder : Path
        The shop's.
    mark : str
        Of the text, which is laid down already.
    files : mapping of str to bytes or None
        What each file becomes; None takes it away.

    Raises
    ------
    BadInput
        The folder cannot be written to.
    """
    noted = json.dumps({"mark": mark, "files": sorted(files)}).encode()
    note = save(folder / KEPT / NOTES.replace("*", f"-{secrets.token_hex(8)}"), noted)
    try:
        yield
    except BaseException:
        note.unlink(missing_ok=True)
        raise
    write_files(files, folder)
    note.unlink(missing_ok=True)


def _finish_writing(folder: Path, mark: str) -> None:
    """Write what was noted and not written, where that text is in effect; forget the notes."""
    for note in sorted((folder / KEPT).glob(NOTES)):
        try:
            noted = json.loads(note.read_bytes())
        except FileNotFoundError:  # whoever wrote it is done
            continue
        except (OSError, ValueError) as error:
            raise BadInput.at(
                Where(str(note)), f"the note of what was being written cannot be read: {error}"
            ) from None
        if noted["mark"] == mark:
            kept = read_files(folder / KEPT / mark)
            write_files({path: kept.get(path) for path in noted["files"]}, folder)
        note.unlink(missing_ok=True)
