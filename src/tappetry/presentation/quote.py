"""The customer's quote: what will be done, with what, why, for how much; no cost, margin or supplier."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from tappetry.presentation import render, words
from tappetry.presentation.appendix import choices
from tappetry.presentation.bars import LIMIT_AT, bar
from tappetry.presentation.letterhead import Letterhead
from tappetry.records.evidence import Grade
from tappetry.records.job import Job
from tappetry.records.kit import Declined, Kit, Line, Totals
from tappetry.records.plan import Work
from tappetry.records.problems import BadInput, Where
from tappetry.records.verdict import Proof, Verdict
from tappetry.records.why_not import WhyNot

Data = dict[str, Any]

#: Stands under every legal note.
WHO_APPROVES = "A lawyer, not a builder, approves the wording of this note."


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing of the appendix: its picture as SVG, and what it says."""

    title: str
    told: tuple[str, ...]
    svg: str


@dataclass(frozen=True, slots=True)
class Quote:
    """All that the paper shows.

    ``titles`` names needs, and whatever else an unknown fact decides. ``need_groups`` gives every need
    the room of the engine that it is listed under; rooms come in the order of the mapping. ``deposit``
    and ``tax_note`` say how those two sums are made up. ``places`` tell what else there was, and
    ``drawings`` how it fits. ``work`` is what may be asked for where the camshaft stays.
    Empty ``facts_shown`` or ``proofs_shown`` show all of them.
    """

    kit: Kit
    job: Job
    shop: Letterhead
    on: date
    valid_until: date
    labour_rate: Decimal
    titles: Mapping[str, str] = field(default_factory=dict)
    need_groups: Mapping[str, str] = field(default_factory=dict)
    fact_titles: Mapping[str, str] = field(default_factory=dict)
    facts_shown: tuple[str, ...] = ()
    proofs_shown: tuple[str, ...] = ()
    service_classes: tuple[str, ...] = ("services",)
    deposit: tuple[tuple[str, Decimal], ...] = ()
    tax_note: str = ""
    terms: tuple[str, ...] = ()
    places: tuple[WhyNot, ...] = ()
    drawings: tuple[Drawing, ...] = ()
    work: Mapping[str, Work] = field(default_factory=dict)
    plan_read: frozenset[str] = frozenset()

    def title(self, name: str) -> str:
        """What an id is called on paper."""
        return self.titles.get(name, words.title(name))


def quote_pdf(quote: Quote) -> bytes:
    """The quote as a PDF, the same bytes for the same quote."""
    pictures = [each.svg for each in quote.drawings]
    return render.pdf("quote", {**quote_data(quote), "pictures": pictures}, quote.on, quote.shop.paper)


def quote_data(quote: Quote) -> Data:
    """Everything on the paper, already in words and in the order in which it is read.

    Raises
    ------
    BadInput
        The kit is not priced, or belongs to another job.
    """
    kit, job = quote.kit, quote.job
    if kit.totals is None:
        raise BadInput.at(Where(field="kit.totals"), "a quote is made of a kit that is not priced", kit.job)
    if kit.job != job.id:
        raise BadInput.at(Where(field="kit.job"), "the kit is of another job", kit.job, job.id)
    parts = [line for line in kit.lines if line.tax_class not in quote.service_classes]
    services = [line for line in kit.lines if line.tax_class in quote.service_classes]
    return {
        "shop": quote.shop.data(),
        "job": job.id,
        "title": job.title,
        "customer": job.customer,
        "date": words.day(quote.on),
        "valid_until": words.day(quote.valid_until),
        "vehicle": _vehicle(quote),
        "plan": list(words.plan(job.plan, quote.work, quote.plan_read)),
        "rooms": _rooms(quote, parts),
        "services": [_line(quote, line) for line in services],
        "labour": [{"what": each.what, "hours": words.hours(each.hours)} for each in kit.operations],
        "labour_rate": words.amount(quote.labour_rate),
        "totals": _totals(kit.totals),
        "tax_note": quote.tax_note,
        "deposit": [{"text": text, "amount": words.amount(amount)} for text, amount in quote.deposit],
        "cores": [
            {"text": _description(line), "amount": words.amount(line.quantity * line.core_charge)}
            for line in kit.lines
            if line.core_charge
        ],
        **_kept(quote),
        "choices": choices(quote.places, quote.title),
        "drawings": [{"title": each.title, "told": list(each.told)} for each in quote.drawings],
        "declined": [
            {
                "offer": _offer(quote, each),
                "for": each.reason_to_buy,
                "against": each.reason_to_decline,
                "by": words.by(each.by),
            }
            for each in kit.declined
        ],
        "open": _open(quote),
        **_unknown(quote),
        "allowances": list(kit.allowances),
        "findings": [
            {
                "text": f"{each.text}: {each.said}" if each.said else each.text,
                "verdict": words.VERDICTS[each.verdict],
                "advice": each.advice,
                "signed": each.signed,
                "offer": each.offer,
            }
            for each in kit.findings
            if each.verdict is not Verdict.PASS
        ],
        "proofs": [_proof(proof) for proof in _proofs(quote)],
        "limit_at": LIMIT_AT,
        "doubt_note": words.doubt_note(kit.proofs),
        "notes": [{"to": each.to, "text": each.text, "why": each.why} for each in kit.notes],
        "cautions": list(kit.cautions),
        "legal_note": kit.legal_note,
        "who_approves": WHO_APPROVES,
        "terms": list(quote.terms),
        "knowledge_version": kit.knowledge_version,
        "catalogue_version": kit.catalogue_version,
        "qr": render.qr_svg(f"{job.id} {words.decimal_text(kit.totals.total)} {kit.totals.currency}"),
    }


def _vehicle(quote: Quote) -> list[Data]:
    """The facts of the vehicle, and how well each is known; a fact told twice shows the better one."""
    best = {fact.attribute: fact for fact in sorted(quote.job.facts, key=lambda fact: fact.grade)}
    shown = quote.facts_shown or tuple(dict.fromkeys(fact.attribute for fact in quote.job.facts))
    return [
        {
            "what": _fact_title(quote, attribute),
            "value": best[attribute].show(),
            "grade": words.GRADES[best[attribute].grade],
        }
        for attribute in shown
        if attribute in best
    ]


def _rooms(quote: Quote, lines: list[Line]) -> list[Data]:
    """The lines under the room of the engine that their first need belongs to."""
    by_room: dict[str, list[Line]] = {room: [] for room in dict.fromkeys(quote.need_groups.values())}
    for line in lines:
        room = next((quote.need_groups[f.need] for f in line.needs if f.need in quote.need_groups), "Other")
        by_room.setdefault(room, []).append(line)
    return [
        {
            "room": room,
            "lines": [_line(quote, line) for line in inside],
            "total": words.amount(sum((line.line_total for line in inside), Decimal(0))),
        }
        for room, inside in by_room.items()
        if inside
    ]


def _line(quote: Quote, line: Line) -> Data:
    titles = [quote.title(filled.need) for filled in line.needs]
    return {
        "quantity": words.quantity(line.quantity, line.unit),
        "for": titles[0] if titles else "",
        "also": [words.lowered(title) for title in titles[1:]],
        "description": _description(line),
        "each": words.amount(line.unit_price),
        "total": words.amount(line.line_total),
        "advised": ""
        if line.importance == "must"
        else words.IMPORTANCE.get(line.importance, line.importance),
    }


def _description(line: Line) -> str:
    return line.told


def _totals(totals: Totals) -> Data:
    names = ("parts", "services", "labour", "supplies", "tax", "total", "deposit", "core_charges")
    data: Data = {name: words.amount(getattr(totals, name)) for name in names}
    return data | {"hours": words.hours(totals.hours), "currency": totals.currency}


def _kept(quote: Quote) -> Data:
    """What is met without buying: what stays, each with its reason; small stock in one phrase."""
    stays = words.told_once(each for each in quote.kit.kept if each.state not in ("shop stock", "none"))
    stock = [words.lowered(quote.title(each.need)) for each in quote.kit.kept if each.state == "shop stock"]
    return {
        "kept": [
            {
                "need": words.kept(each, stays, quote.title(each.need)),
                "state": words.state(each.state),
                "text": each.text,
                "allowance": "" if each.allowance is None else words.amount(each.allowance),
            }
            for each in stays
        ],
        "shop_stock": words.listed(dict.fromkeys(stock)),
    }


def _offer(quote: Quote, declined: Declined) -> str:
    """What was offered, with the need that it is for where it does not say so itself."""
    title = quote.title(declined.need) if declined.need else declined.offer
    return declined.offer if declined.offer == title else f"{title}: {declined.offer}"


def _unknown(quote: Quote) -> Data:
    """What is not known yet, how it is found out and what hangs on it; and what was taken on trust."""
    best = {fact.attribute: fact for fact in sorted(quote.job.facts, key=lambda fact: fact.grade)}
    stated = dict.fromkeys(fact.attribute for fact in quote.job.facts)
    trusted = [name for name in stated if best[name].grade <= Grade.told]
    return {
        "unknown": [
            {
                "what": unknown.question,
                "how": unknown.see,
                "hangs": words.listed(words.lowered(quote.title(need)) for need in unknown.hangs_on_it),
            }
            for unknown in quote.kit.unknowns
        ],
        "trusted": words.listed(_fact_title(quote, name) for name in trusted),
    }


def _open(quote: Quote) -> list[str]:
    """What waits for a measurement before it is ordered."""
    return [f"{_description(line)}: {hold}" for line in quote.kit.lines for hold in line.holds]


def _fact_title(quote: Quote, attribute: str) -> str:
    return quote.fact_titles.get(attribute, words.title(attribute))


def _proofs(quote: Quote) -> list[Proof]:
    """The proofs asked for, and always those that do not simply pass, or pass in doubt."""
    shown = quote.proofs_shown or tuple(proof.id for proof in quote.kit.proofs)
    return [proof for proof in quote.kit.proofs if proof.id in shown or words.outcome(proof) != Verdict.PASS]


def _proof(proof: Proof) -> Data:
    place = bar(proof)
    return {
        "title": proof.title,
        "value": words.figure(proof.value, proof.unit),
        "limit": f"{_side(proof)} {words.figure(proof.limit, proof.unit)}".strip(),
        "margin": words.signed_figure(proof.margin, proof.unit),
        "verdict": proof.verdict.value,
        "outcome": words.outcome(proof),
        "words": words.OUTCOMES[words.outcome(proof)] + (", signed" if proof.signed else ""),
        "bar": None
        if place is None
        else {"value": place.value, "low": place.low, "high": place.high, "beyond": place.beyond},
        "advice": proof.advice if proof.verdict is not Verdict.PASS else "",
        "said": proof.said if proof.verdict is not Verdict.PASS else "",
        "remedies": [words.remedy(each) for each in proof.remedies if each.good],
        "band": words.band(proof),
        "chance": "" if proof.chance_of_failing is None else f"fails {words.chance(proof.chance_of_failing)}",
        "measure": words.worth_measuring(proof),
        "doubt": words.doubt(proof),
    }


def _side(proof: Proof) -> str:
    """On which side of its limit a value should lie, as a sign."""
    return {"at least": "≥", "at most": "≤"}.get(words.bound(proof), "")
