"""Looks through what rows of a price list change in kits of open jobs, before they are taken.

It is long work, as the looking through of a text is. Only what was looked through to its end is taken, and
only in the place of the very text against which it was.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from tappetry.records.problems import Ground, Refusal
from tappetry.services import prices
from tappetry.services.ledger import Ledger, day_of
from tappetry.services.prices import Following, Proposal, Taken
from tappetry.services.queue import DONE, Report, Standing, Task, Wanted, key_of, standing
from tappetry.services.shop import Shop
from tappetry.services.text_check import Checked, checked, effects_of, open_jobs, open_versions
from tappetry.services.text_files import read_files, whole_mark
from tappetry.store.problems import NotKept

KIND = "look through a price list"


@dataclass(frozen=True, slots=True)
class PriceLook:
    """Rows of a list that were chosen, how far their looking through is, and what came of it.

    ``lines`` and ``gone`` are what was chosen; ``stale`` jobs changed since it was asked for.
    """

    key: str
    lines: tuple[int, ...]
    gone: tuple[str, ...]
    standing: Standing
    found: Checked | None
    stale: tuple[str, ...] = ()


def ask(
    ledger: Ledger, mark: str, lines: Collection[int] | None, gone: Collection[str], version: str, who: str
) -> str:
    """Have rows of a list that waits looked through; the mark of that work.

    Parameters
    ----------
    mark : str
        That of the list.
    lines : collection of int or None
        The rows; None for all that change something and about which nothing is odd.
    gone : collection of str
        Parts that the list no longer names, to be sold no longer.
    version : str
        The mark of the catalogue with which the page was made on which they were chosen.

    Raises
    ------
    Refusal
        The parts changed since then, or as for :func:`tappetry.services.prices.following`.
    BadInput
        The list waits no longer, or the parts would not hold together.
    """
    now = prices.in_effect(ledger)
    shop, today = now.shop, ledger.today
    if version != shop.catalogue.version:
        raise Refusal(
            "The list of parts has changed since this page was made. Nothing was taken.",
            [Ground(f"made for {version}, it is {shop.catalogue.version} now", "price list")],
            ["look at the list again and choose anew"],
        )
    proposed = _proposed(shop, mark, today)
    chosen = prices.undoubted(proposed) if lines is None else lines
    then = prices.following(shop, proposed, chosen, gone)
    jobs, left = open_jobs(ledger)
    task = {
        "list": mark,
        "today": today.isoformat(),
        "lines": sorted(chosen),
        "gone": sorted(gone),
        "parts": _mark_of(then),
        "base": now.version.mark,
        "jobs": jobs,
        "left": left,
    }
    key = key_of(KIND, task)
    ledger.queue.ask([Wanted(key, KIND, f"price list {proposed.file}", task)], who)
    return key


def ask_again(ledger: Ledger, mark: str, key: str, who: str) -> str:
    """Have the same rows looked through with the jobs as they stand now; errors as of :func:`ask`."""
    task = _task(ledger, mark, key).task
    return ask(ledger, mark, task["lines"], task["gone"], ledger.shop.catalogue.version, who)


def stop(ledger: Ledger, mark: str, key: str) -> None:
    """Stop looking through."""
    ledger.queue.stop([_task(ledger, mark, key).key])


def look(ledger: Ledger, mark: str, key: str) -> PriceLook:
    """How far the looking through of some rows is.

    Raises
    ------
    NotKept
        Nobody asked for it.
    """
    task = _task(ledger, mark, key)
    found: Checked | None = None
    stale: tuple[str, ...] = ()
    if task.state == DONE and task.result is not None:
        found = checked(task.task, {"findings": (), **task.result}, task.asked_at)
        now = ledger.read(open_versions)
        stale = tuple(number for number, versions in now.items() if found.jobs.get(number) != versions)
    return PriceLook(key, tuple(task.task["lines"]), tuple(task.task["gone"]), standing([task]), found, stale)


def take(ledger: Ledger, mark: str, key: str, who: str) -> Taken:
    """Take the rows of a list that were looked through.

    Raises
    ------
    NotKept
        Nobody asked for it.
    Refusal
        It was not looked through to its end, the list is read otherwise since, or as for
        :func:`tappetry.services.prices.take`.
    ChangedMeanwhile
        Somebody else let a text take effect at the same moment.
    """
    task = _task(ledger, mark, key)
    if task.state != DONE:
        raise Refusal(
            "What is taken has to be looked through to its end first. Nothing was taken.",
            ways_out=["wait until it is, or have it looked through again"],
        )
    said = task.task
    found = prices.received(ledger.shop, mark)
    proposed = _proposed(ledger.shop, mark, date.fromisoformat(said["today"]))
    _must_be_as_looked_at(prices.following(ledger.shop, proposed, said["lines"], said["gone"]), said)
    brought = day_of(found.at)
    lines, gone, base = said["lines"], said["gone"], said["base"]
    taken = prices.take(ledger, found.supplier, proposed, lines, gone, brought, who, base)
    prices.forget(ledger.shop, mark)
    return taken


def work_price_look(shop: Shop, task: Mapping[str, Any], report: Report) -> dict[str, Any]:
    """Work out what the kits of the jobs change.

    Raises
    ------
    Refusal
        Another text took effect since it was asked for, or the list is read otherwise.
    BadInput
        The list waits no longer.
    """
    if whole_mark(read_files(shop.text)) != task["base"]:
        raise Refusal("Another text took effect since this was asked for.", ways_out=["ask for it again"])
    proposed = _proposed(shop, task["list"], date.fromisoformat(task["today"]))
    then = prices.following(shop, proposed, task["lines"], task["gone"])
    _must_be_as_looked_at(then, task)
    return {"effects": list(effects_of(shop, shop.with_parts(then.catalogue.parts), task["jobs"], report))}


def look_now(
    ledger: Ledger,
    shop: Shop,
    proposed: Proposal,
    lines: Collection[int],
    gone: Collection[str],
    report: Report,
) -> Checked:
    """Look through rows of a list at once, for whoever waits for it; errors as of :func:`ask`."""
    then = prices.following(shop, proposed, lines, gone)
    jobs, left = open_jobs(ledger)
    effects = list(effects_of(shop, shop.with_parts(then.catalogue.parts), jobs, report))
    return checked({"jobs": jobs, "left": left}, {"findings": (), "effects": effects}, ledger.now())


def _proposed(shop: Shop, mark: str, today: date) -> Proposal:
    """What a list that waits would do."""
    found = prices.received(shop, mark)
    how = prices.reading(shop, found.supplier)
    if how is None:
        raise Refusal(f"Nobody has said how {found.supplier}'s lists are read.", [], ["say so first"])
    return prices.proposal(shop, found.text, found.file, how, today)


def _task(ledger: Ledger, mark: str, key: str) -> Task:
    for task in ledger.queue.found([key]):
        if task.kind == KIND and task.task["list"] == mark:
            return task
    raise NotKept("Nobody had these rows of the price list looked through.")


def _must_be_as_looked_at(then: Following, said: Mapping[str, Any]) -> None:
    if _mark_of(then) != said["parts"]:
        raise Refusal(
            "The list is read otherwise since it was looked through, or the parts changed.",
            ways_out=["look at the list again and choose anew"],
        )


def _mark_of(then: Following) -> str:
    return hashlib.sha256(then.written).hexdigest()
