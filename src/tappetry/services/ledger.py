"""The acts on jobs that are kept: open one, change facts or plan, keep its kit, send its quote.

Each act is one transaction with one line in the audit trail. What is worked out is worked out before it.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from decimal import Decimal
from itertools import pairwise
from typing import Any, TypeVar

from sqlalchemy.orm import Session

from tappetry.identification.resolve import Identification
from tappetry.jobs.reader import read_job_data, read_job_text
from tappetry.pricing.validity import LineChange, line_changes
from tappetry.records.evidence import Grade
from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.records.plan import Work
from tappetry.records.problems import BadInput, Complaints, Where
from tappetry.records.why_not import WhyNot
from tappetry.services.ask import ask
from tappetry.services.ask_records import Asked
from tappetry.services.backups import DAILY, Backups, Schedule
from tappetry.services.choices import Choice, choices
from tappetry.services.differences import Difference, difference
from tappetry.services.doubts import doubted
from tappetry.services.front import Front, front
from tappetry.services.kits import KitResult, identify_job, kit_for_job, must_be_complete
from tappetry.services.opening import open_store
from tappetry.services.pace import look_again
from tappetry.services.paper_records import BusinessPapers
from tappetry.services.queue import Queue
from tappetry.services.reprice import kit_from_data
from tappetry.services.shop import Shop
from tappetry.services.sides import Side, side
from tappetry.services.what_if import stated_plan
from tappetry.services.why import why_not
from tappetry.services.working import Working
from tappetry.store import jobs, quotes
from tappetry.store.changes import Mark
from tappetry.store.database import Database
from tappetry.store.jobs import OPEN, QUOTED, Act, KeptJob, Told
from tappetry.store.models import FACTS, PLAN, SHEET, JobRow, KitRow, QuoteRow
from tappetry.store.people import Visitor
from tappetry.store.problems import NotKept
from tappetry.store.quotes import Paper

__all__ = ["JobRow", "KitChange", "KitRow", "Ledger", "Opened", "Papers", "QuoteRow", "Told"]

UNKNOWN = "unknown"
#: The longest title of a job, name of a customer, or place of registration. [sign]
LONGEST_NAME = 200
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Papers:
    """How a kit is written down whole, and a quote is made of it; what papers look like is not kept here."""

    kit: Callable[[Kit], dict[str, Any]]
    quote: Callable[[Shop, KitResult, date], Paper]
    business: BusinessPapers


@dataclass(frozen=True, slots=True)
class Opened:
    """A job out of the store: as it is kept, as it is read, the work that the house knows, what it reads."""

    kept: KeptJob
    job: Job
    work: Mapping[str, Work]
    plan_read: frozenset[str]


@dataclass(frozen=True, slots=True)
class KitChange:
    """What changed from one kept kit to the next: lines in number or price, and the total."""

    old: int
    new: int
    lines: tuple[LineChange, ...]
    total: Decimal


def ledger_of(shop: Shop, papers: Papers, url: str = "", schedule: Schedule = DAILY) -> Ledger:
    """The ledger of a shop: in the file in its folder, or in the database of an address.

    Raises
    ------
    StoreUnavailable
        The database does not answer.
    NotKept
        The database is of a later version of the program.
    NotMigrated
        It is of an earlier one, and was not brought to this one.
    """
    return Ledger(shop, open_store(shop, url), papers, schedule=schedule)


class Ledger:
    """A shop with its database; may be used by several people at once."""

    def __init__(
        self,
        shop: Shop,
        database: Database,
        papers: Papers,
        now: Callable[[], datetime] = lambda: datetime.now(UTC),
        schedule: Schedule = DAILY,
    ) -> None:
        self.shop = shop
        self.database = database
        self.papers = papers
        self.now = now
        self.queue = Queue(database, now)
        #: How the database stood when the text in effect was last asked for, and the mark of that text.
        self.text_seen: tuple[Mark, str] | None = None
        self.backups = Backups(database, shop.folder, schedule, now)
        self.working = Working()

    @property
    def today(self) -> date:
        """The day that it is where the machine stands, as the calendar on the wall says."""
        return day_of(self.now())

    @property
    def place(self) -> str:
        """Where the database is, without any password."""
        return self.database.url.render_as_string(hide_password=True)

    def change_text(self, shop: Shop) -> None:
        """Go on with another text of the same shop; what was worked out with the old one is forgotten."""

        def change() -> None:
            self.shop = shop
            self.working.forget()
            look_again()

        self.working.alone(change)

    # ---- reading -------------------------------------------------------------------------------------

    def read(self, what: Callable[[Session], T]) -> T:
        """Something out of the store, all of one moment."""
        with self.database.reading() as session:
            return what(session)

    def one_view(self) -> AbstractContextManager[None]:
        """A block in which all that is read out of the store is of one moment, as what one page shows."""
        return self.database.one_view()

    def find(self, words: str = "") -> list[JobRow]:
        """Jobs that hold some words in number, title, customer or VIN; the latest change first."""
        return self.read(lambda session: jobs.find_jobs(session, words))

    def history(self, number: str) -> list[Told]:
        """What was done to a job, the latest first."""
        return self.read(lambda session: jobs.history(session, number))

    def trail(self) -> list[Told]:
        """The latest acts in the whole shop."""
        return self.read(jobs.trail)

    def kits(self, number: str) -> list[KitRow]:
        """The kits of a job that were kept."""
        return self.read(lambda session: quotes.kits_of(session, number))

    def quotes(self, number: str) -> list[QuoteRow]:
        """The quotes of a job that were sent."""
        return self.read(lambda session: quotes.quotes_of(session, number))

    def jobs_with(self, supplier: str, part: str) -> list[str]:
        """The jobs of which a kept kit holds a part."""
        return self.read(lambda session: quotes.jobs_with(session, supplier, part))

    def quote_paper(self, number: str, quote: int) -> bytes:
        """The very paper of a quote that was sent."""
        return self.read(lambda session: quotes.quote_paper(session, number, quote))

    def identify(self, job: Job) -> Identification:
        """Which engine a job is about."""
        return self.remembered("engine", job, lambda: identify_job(self.shop, job), beside=False)

    def choices(self, job: Job) -> tuple[Choice, ...]:
        """What the plan of a job may choose for its engine."""
        return self.remembered("choices", job, lambda: choices(self.shop, job, self.identify(job)))

    def why_not(self, job: Job, need: str) -> tuple[WhyNot, ...]:
        """What stands for a need in the kit of a job, and why no other part."""
        result = self.kit(job)
        return self.remembered(f"why {need}", job, lambda: why_not(self.shop, result, [need]))

    def job(self, number: str) -> Opened:
        """A job as it stands, of the day of its quote: today, until the customer said yes to one.

        Raises
        ------
        NotKept
            There is no such job, or as of :meth:`quoted_on`.
        BadInput
            The shop's text changed so that the job no longer suits it.
        """
        with self.database.reading() as session:
            kept = jobs.job_now(session, number)
            day = self.quoted_on(session, kept)
        job = replace(self._job(kept.document), date=day)
        return Opened(kept, job, self.shop.knowledge.book.work, self.shop.plan_read)

    def quoted_on(self, session: Session, kept: KeptJob) -> date:
        """The day of the quote of a job: today, until the customer said yes to one.

        Raises
        ------
        NotKept
            He said yes and there is no quote, as in a database that this program did not write as a whole.
        """
        if kept.state in (OPEN, QUOTED):
            return self.today
        sent = quotes.last_sent(session, kept.number)
        if sent is None:
            raise NotKept(
                f"Job {kept.number} is {kept.state}, and this database holds no quote of it: not all was "
                "brought here from where it came. Restore a backup of that database, or import all that "
                "`tappetry export` writes of it."
            )
        return day_of(sent)

    def kit(self, job: Job) -> KitResult:
        """The kit of a job, with how well its proofs are known.

        Raises
        ------
        Refusal
            The request cannot be met: with the ways out that were each tried.
        """
        found = self.side(job)
        if found.result is None:
            assert found.refusal is not None
            raise found.refusal
        result = found.result
        return self.remembered("doubted", job, lambda: doubted(self.shop, result))

    def side(self, job: Job, title: str = "") -> Side:
        """A job beside others, with its kit or its refusal."""
        found: Side = self.remembered(
            "kit", job, lambda: side(lambda each: kit_for_job(self.shop, each), job, job.id)
        )
        return replace(found, title=title or found.title)

    def packages(self, job: Job) -> tuple[Side, ...]:
        """The job in every package of the house."""
        return tuple(
            self.side(replace(job, plan=replace(job.plan, package=package.id)), package.title)
            for package in self.shop.knowledge.book.packages.values()
        )

    def front(self, job: Job) -> Front:
        """What each day costs a job, whatever day its plan asks for."""
        return self.remembered("front", job, lambda: front(self.shop, job))

    def ask(self, job: Job) -> Asked:
        """What to ask about a job next."""
        return self.remembered("asked", job, lambda: ask(self.shop, job))

    def tried(self, opened: Opened, changes: Iterable[str]) -> tuple[Side, Side, Difference | None]:
        """The plan as it is, as it would be, and what changes between them; nothing is kept.

        Raises
        ------
        BadInput
            A change cannot be read.
        """
        read = self._job(_with_plan(opened.kept.document, stated_plan(changes, PLAN)))
        other = replace(read, date=opened.job.date)
        now, then = self.side(opened.job), self.side(other)
        return now, then, difference(self.shop.knowledge, now, then)

    def kit_changes(self, number: str) -> list[KitChange]:
        """What changed from each kept kit to the next, the latest first."""
        kept = [
            (row.number, kit_from_data(row.document), row.total)
            for row in self.read(lambda session: quotes.kits_of(session, number))
        ]
        return [
            KitChange(old, new, tuple(line_changes(before, after)), total - was)
            for (old, before, was), (new, after, total) in reversed(list(pairwise(kept)))
        ]

    # ---- acts ----------------------------------------------------------------------------------------

    def new_job(self, text: str, who: str, why: str = "", visitor: Visitor | None = None) -> KeptJob:
        """Open a job from the text of a job file, with what is said of whose it is.

        Raises
        ------
        BadInput
            The text is no job, or a name in it is too long.
        NotKept
            There is a job of its number already.
        """
        _, document = read_job_text(text, self.shop.knowledge, "the job")
        _must_be_short(document)
        with self.database.writing() as session:
            return jobs.add_job(session, document, self.act(who, "opened the job", why), visitor)

    def change_plan(
        self, number: str, changes: Iterable[str], version: int, who: str, why: str = ""
    ) -> KeptJob:
        """Change the plan: each change ``name=value`` as a job file names it, or nothing after the sign.

        Raises
        ------
        BadInput
            A change cannot be read.
        ChangedMeanwhile
            Somebody else changed the plan since this version.
        """
        said = list(changes)
        stated = stated_plan(said, PLAN)
        return self._change(
            number,
            {PLAN: version},
            lambda document: _with_plan(document, stated),
            self.act(who, f"changed the plan: {', '.join(said)}", why),
        )

    def take_way_out(
        self, number: str, change: Mapping[str, Any], versions: Mapping[str, int], who: str, text: str
    ) -> KeptJob:
        """Change a job as a way out says: the fields of the job file with their new values."""

        def changed(document: dict[str, Any]) -> dict[str, Any]:
            plan = {name.removeprefix("plan."): value for name, value in change.items() if "." in name}
            rest = {name: value for name, value in change.items() if "." not in name}
            return _with_plan({**document, **rest}, {name: value or None for name, value in plan.items()})

        return self._change(number, versions, changed, self.act(who, f"took a way out: {text}", ""))

    def state_fact(
        self,
        number: str,
        attribute: str,
        value: str,
        grade: str,
        source: str,
        version: int,
        who: str,
    ) -> KeptJob:
        """State a fact beside those that stand; an empty value says that nobody knows it.

        What was said before is never taken away by it: the better grade is in charge, and of equal grades
        the later one.

        Raises
        ------
        BadInput
            There is no such attribute or grade, or the value does not suit it.
        ChangedMeanwhile
            Somebody else changed the facts since this version.
        """
        if value and grade not in Grade.__members__:
            expected = "one of " + ", ".join(Grade.__members__)
            raise BadInput.at(Where(FACTS, field=attribute), "there is no such grade", grade, expected)

        def changed(document: dict[str, Any]) -> dict[str, Any]:
            facts = dict(document["facts"])
            stood = facts.get(attribute)
            earlier = stood if isinstance(stood, list) else [stood] if isinstance(stood, Mapping) else []
            stated = {"value": value, "grade": grade, "source": source}
            if not value:
                facts[attribute] = earlier or UNKNOWN
            else:
                facts[attribute] = [stated, *earlier] if earlier else stated
            return {**document, "facts": facts}

        title = (
            self.shop.knowledge.attributes[attribute].title if attribute in self._attributes else attribute
        )
        said = f"{title}: {value} ({grade})" if value else f"{title}: nobody knows"
        return self._change(number, {FACTS: version}, changed, self.act(who, f"stated {said}", source))

    def sign(self, number: str, check: str, reason: str, version: int, who: str) -> KeptJob:
        """Write down the owner's reason to go on where a check asks for a signature."""

        def changed(document: dict[str, Any]) -> dict[str, Any]:
            return {**document, "signatures": {**document.get("signatures", {}), check: reason}}

        return self._change(number, {SHEET: version}, changed, self.act(who, f"signed {check}", reason))

    def keep_kit(self, number: str, who: str, why: str = "") -> KitRow:
        """Keep the kit of a job as it stands, with its price.

        Raises
        ------
        Refusal
            There is no kit.
        """
        opened = self.job(number)
        result = self.kit(opened.job)
        with self.database.writing() as session:
            return self.keep(session, opened, result, self.act(who, "kept the kit", why))

    def send_quote(self, number: str, who: str, why: str = "") -> QuoteRow:
        """Send the quote of a job as it stands: the kit behind it and the very paper are kept.

        Raises
        ------
        Refusal
            There is no kit, or it is not complete enough for a paper.
        """
        opened = self.job(number)
        result = self.kit(opened.job)
        must_be_complete(self.shop, result)
        act = self.act(who, "sent a quote", why)
        paper = self.working.alone(lambda: self.papers.quote(self.shop, result, day_of(act.at)))
        with self.database.writing() as session:
            kit = self.keep(session, opened, result, replace(act, what="kept the kit of a quote"))
            return quotes.keep_quote(session, opened.kept, kit, paper, act)

    # ---- inside --------------------------------------------------------------------------------------

    @property
    def _attributes(self) -> Mapping[str, Any]:
        return self.shop.knowledge.attributes

    def act(self, who: str, what: str, why: str = "") -> Act:
        """Who does what now, and why."""
        return Act(who, what, self.now(), why)

    def _job(self, document: Mapping[str, Any]) -> Job:
        return read_job_data(document, self.shop.knowledge, f"job {document['job']}")

    def _change(
        self,
        number: str,
        versions: Mapping[str, int],
        changed: Callable[[dict[str, Any]], dict[str, Any]],
        act: Act,
    ) -> KeptJob:
        """Change a job from the versions that a person had before him; what comes of it has to be a job."""
        with self.database.writing() as session:
            read = jobs.job_at(session, number, versions)
            document = changed(read.document)
            self._job(document)
            return jobs.change_job(session, document, read.versions, act)

    def forget(self) -> None:
        """Let go of all that was worked out and is remembered, as after data were deleted."""
        self.working.forget()

    def keep(self, session: Session, opened: Opened, result: KitResult, act: Act) -> KitRow:
        """Keep a kit within an act."""
        document = {**self.papers.kit(result.kit), "date": result.job.date.isoformat()}
        return quotes.keep_kit(session, opened.kept, result.kit, document, act)

    def remembered(self, what: str, job: Job, work: Callable[[], T], beside: bool = True) -> T:
        """What was worked out for an equal job, or is worked out now.

        Raises
        ------
        StillWorking
            It is not there within the patience of whoever asks.
        """
        return self.working.remembered(what, repr(replace(job, file="")), work, beside)


def _must_be_short(document: Mapping[str, Any]) -> None:
    """Refuse names that would fill a page; those of jobs that were opened before are read as they stand."""
    complaints = Complaints()
    for name in ("title", "customer", "place"):
        said = str(document.get(name, ""))
        if len(said) > LONGEST_NAME:
            told = f"{len(said)} signs are too many"
            complaints.add(
                Where("the job", field=name), told, f"{said[:40]} ...", f"up to {LONGEST_NAME} signs"
            )
    complaints.raise_if_any()


def day_of(moment: datetime) -> date:
    """The day of a moment in the time of the machine, by which papers are dated and days are counted."""
    return moment.astimezone().date()


def _with_plan(document: Mapping[str, Any], stated: Mapping[str, Any]) -> dict[str, Any]:
    """A job file's content with other fields in its plan; None takes a field out."""
    plan = {**document[PLAN], **stated}
    return {**document, PLAN: {name: value for name, value in plan.items() if value is not None}}


def plain(change: Mapping[str, Any]) -> str:
    """The fields of a way out as one line of text, for a form to carry."""
    return json.dumps(dict(change), sort_keys=True)


def from_plain(text: str) -> dict[str, Any]:
    """The fields of a way out as a form brought them back.

    Raises
    ------
    BadInput
        The text is no mapping of fields of a plan or of signatures.
    """
    try:
        data = json.loads(text)
    except ValueError:
        data = None
    if not isinstance(data, dict) or any(
        not (name.startswith("plan.") or name == "signatures") for name in data
    ):
        raise BadInput.at(Where("the way out"), "this is no way out", text, "one that the page offers")
    return data
