"""A customer's page behind a link that only he has: what it shows and asks, and what becomes of answers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from tappetry.records.family import AttributeSchema
from tappetry.records.problems import BadInput, Refusal, Where
from tappetry.services import agreements
from tappetry.services.agreements import BY_PAGE, Signed
from tappetry.services.ledger import Ledger, QuoteRow
from tappetry.services.links import mark_of, new_token
from tappetry.services.uploads import PICTURES, checked
from tappetry.store import links
from tappetry.store.accepted_models import Acceptance, ChangeRow
from tappetry.store.links import Said
from tappetry.store.links_models import AnswerRow, LinkRow
from tappetry.store.models import FACTS
from tappetry.store.problems import NotKept

__all__ = ["AnswerRow", "LinkRow"]

#: Who acts on a customer's page.
CUSTOMER = "customer, by the page"
#: The longest photo. [byte]
LARGEST_PHOTO = 8_000_000
#: The longest answer in words. [sign]
LONGEST = 500
#: For so long a link may hold. [day]
MOST_DAYS = 90


@dataclass(frozen=True, slots=True)
class CustomerPage:
    """What a link shows and asks now: the paper that waits or was accepted, questions and photos."""

    number: str
    title: str
    customer: str
    ends_at: datetime
    paper: QuoteRow | ChangeRow | None
    accepted: Acceptance | None
    questions: tuple[AttributeSchema, ...]
    photos: tuple[str, ...]
    answered: Mapping[str, int]

    @property
    def waiting(self) -> str:
        """What the paper that waits is called; empty where none waits."""
        if self.paper is None:
            return ""
        return f"{'quote' if isinstance(self.paper, QuoteRow) else 'change order'} {self.paper.number}"


def send_link(
    ledger: Ledger,
    number: str,
    who: str,
    *,
    paper: bool,
    questions: Sequence[str],
    photos: Sequence[str],
    days: int,
) -> str:
    """Make a link for the customer of a job; its token is told once, here, and kept nowhere.

    Raises
    ------
    BadInput
        The link would show and ask nothing, asks for what is no attribute, or holds too long.
    """
    known = ledger.shop.knowledge.attributes
    strange = [name for name in questions if name not in known]
    if strange:
        raise BadInput.at(Where(field="questions"), "there is no such attribute", strange[0])
    if not 1 <= days <= MOST_DAYS:
        raise BadInput.at(Where(field="days"), "a link holds for some days", days, f"1 to {MOST_DAYS}")
    wanted = [text.strip()[:200] for text in photos if text.strip()]
    if not (paper or questions or wanted):
        raise BadInput.at(
            Where(field="link"), "the page would show and ask nothing", "", "a paper, a question or a photo"
        )
    token = new_token()
    document = {"paper": paper, "questions": list(questions), "photos": wanted}
    act = ledger.act(who, f"made a link for the customer, for {days} days")
    with ledger.database.writing() as session:
        links.keep_link(session, number, mark_of(token), act.at + timedelta(days=days), document, act)
    return token


def end_link(ledger: Ledger, number: str, link: int, who: str) -> None:
    """Take a link back."""
    with ledger.database.writing() as session:
        links.end_link(session, number, link, ledger.act(who, "took a link of the customer back"))


def page_of(ledger: Ledger, token: str) -> CustomerPage:
    """What a link shows and asks.

    Raises
    ------
    NotKept
        The link leads nowhere, or not any more.
    """
    link, number = ledger.read(lambda session: links.link_by_mark(session, mark_of(token), ledger.now()))
    job = ledger.job(number).job
    answers = [each for each in answers_of(ledger, number) if each.link_id == link.id]
    known = ledger.shop.knowledge.attributes
    shown: QuoteRow | ChangeRow | None = None
    agreed: Acceptance | None = None
    if link.document["paper"]:
        shown = agreements.latest_open(ledger, number)
        said = agreements.acceptances(ledger, number)
        agreed = said[-1] if said else None
    answered: dict[str, int] = {}
    for each in answers:
        answered[each.attribute or each.about] = answered.get(each.attribute or each.about, 0) + 1
    return CustomerPage(
        number=number,
        title=job.title,
        customer=job.customer,
        ends_at=link.ends_at,
        paper=shown,
        accepted=agreed,
        questions=tuple(known[name] for name in link.document["questions"] if name in known),
        photos=tuple(link.document["photos"]),
        answered=answered,
    )


def paper_of(ledger: Ledger, page: CustomerPage) -> bytes:
    """The PDF that a page shows.

    Raises
    ------
    NotKept
        It shows none.
    """
    row = page.paper
    if row is None and page.accepted is not None:
        row = page.accepted.change or page.accepted.quote
    if row is None:
        raise NotKept("There is no paper to read here.")
    return agreements.paper(ledger, row)


def accept(ledger: Ledger, token: str, read: str, signed: Signed) -> Acceptance:
    """The customer says yes on his page to the paper that waits for him; ``read`` names the one he read.

    Raises
    ------
    NotKept
        The link does not hold any more, nothing waits, or another paper waits than the one he read.
    BadInput, Refusal
        As of :func:`agreements.accept_quote`.
    """
    page = page_of(ledger, token)
    if page.paper is None:
        raise NotKept("Nothing waits for your answer here any more.")
    if page.waiting != read:
        raise NotKept(f"Meanwhile {page.waiting} takes the place of {read}. Read it, then answer again.")
    act = agreements.accept_quote if isinstance(page.paper, QuoteRow) else agreements.accept_change
    by_page = Signed(signed.customer, BY_PAGE, signed.answers, signed.read, signed.note[:LONGEST])
    return act(ledger, page.number, page.paper.number, by_page, CUSTOMER)


def answer(ledger: Ledger, token: str, attribute: str, value: str) -> None:
    """The customer answers one of the questions of his page, in his own words.

    Raises
    ------
    NotKept
        The link does not hold any more, or does not ask this.
    BadInput
        The answer is empty or too long.
    """
    page = page_of(ledger, token)
    asked = {each.id: each for each in page.questions}
    if attribute not in asked:
        raise NotKept("This page does not ask that.")
    said = value.strip()
    if not said or len(said) > LONGEST:
        raise BadInput.at(
            Where(field="value"), "an answer has some words", said[:40], f"1 to {LONGEST} signs"
        )
    _keep(ledger, token, Said(asked[attribute].title, attribute, said), f"answered: {asked[attribute].title}")


def send_photo(ledger: Ledger, token: str, wanted: int, content: bytes) -> None:
    """The customer sends a photo of one of the things that his page asks for.

    Raises
    ------
    NotKept
        The link does not hold any more, or does not ask for this.
    BadInput
        The file is no photo, or too large.
    """
    page = page_of(ledger, token)
    if not 0 <= wanted < len(page.photos):
        raise NotKept("This page does not ask for that photo.")
    media = checked(content, PICTURES, LARGEST_PHOTO, "photo").value
    said = Said(page.photos[wanted], photo=content, media=media)
    _keep(ledger, token, said, f"sent a photo: {page.photos[wanted]}")


def links_of(ledger: Ledger, number: str) -> list[LinkRow]:
    """The links of a job, the latest first."""
    return ledger.read(lambda session: links.links_of(session, number))


def answers_of(ledger: Ledger, number: str) -> list[AnswerRow]:
    """What the customer answered, the first one first."""
    return ledger.read(lambda session: links.answers_of(session, number))


def photo(ledger: Ledger, number: str, answer_id: int) -> tuple[bytes, str]:
    """A photo that the customer sent, and its media type."""
    return ledger.read(lambda session: links.photo_of(session, number, answer_id))


def take(ledger: Ledger, number: str, answer_id: int, value: str, version: int, who: str) -> None:
    """Take an answer as a fact that the customer said; a photo is marked as looked at.

    Raises
    ------
    BadInput
        The value does not suit the attribute; the answer waits on.
    ChangedMeanwhile
        Somebody else changed the facts.
    NotKept
        There is no such answer, or somebody has seen to it already.
    """
    found = next((each for each in answers_of(ledger, number) if each.id == answer_id), None)
    if found is None or found.seen is not None:
        raise NotKept(f"There is no answer {answer_id} on job {number} that waits.")
    if found.attribute:
        source = f"customer said by the page on {found.entry.at:%Y-%m-%d}: {found.value}"
        ledger.state_fact(number, found.attribute, value.strip() or found.value, "told", source, version, who)
    _see(ledger, number, answer_id, taken=True, act=f"took the customer's answer: {found.about}", who=who)


def leave(ledger: Ledger, number: str, answer_id: int, who: str) -> None:
    """Leave an answer: nothing is stated by it."""
    _see(ledger, number, answer_id, taken=False, act="left an answer of the customer", who=who)


def questions_for(ledger: Ledger, number: str) -> tuple[tuple[AttributeSchema, str], ...]:
    """What the customer could be asked: what hangs open in the kit, and what to see for it."""
    opened = ledger.job(number)
    known = ledger.shop.knowledge.attributes
    try:
        names = [each.attribute for each in ledger.kit(opened.job).kit.unknowns]
    except Refusal:
        question = ledger.identify(opened.job).next_question
        names = [] if question is None else [question.attribute]
    names += [name for name in opened.kept.document[FACTS] if name in opened.job.unknown]
    return tuple(
        (known[name], known[name].photo or known[name].see) for name in dict.fromkeys(names) if name in known
    )


def _keep(ledger: Ledger, token: str, said: Said, act: str) -> None:
    with ledger.database.writing() as session:
        links.keep_answer(session, mark_of(token), said, ledger.act(CUSTOMER, act))


def _see(ledger: Ledger, number: str, answer_id: int, *, taken: bool, act: str, who: str) -> None:
    with ledger.database.writing() as session:
        links.see_answer(session, number, answer_id, taken, ledger.act(who, act))
