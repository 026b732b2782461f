"""What to ask next, as plain JSON data and in words: why it is asked, how to find out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

from tappetry.kitting.asking.measure import Range, Worth
from tappetry.presentation import words
from tappetry.presentation.words import decimal_text
from tappetry.records.evidence import Fact
from tappetry.services.ask_records import (
    DOUBTFUL,
    OPEN,
    Answer,
    Asked,
    Piece,
    Question,
    Sums,
    Waiting,
)

Data = dict[str, Any]
#: Digits after the point of an average or a share.
DIGITS = 4


def asked_data(asked: Asked) -> Data:
    """The whole answer. It shows the shop's costs and suppliers: it is not a paper for the customer."""
    first = asked.next_question
    return {
        "job": asked.job,
        "next_question": None if first is None else question_data(first, asked),
        "questions": [question_data(each, asked) for each in asked.questions],
        "no_longer_matters": list(asked.settled),
        "order_now": [piece_data(piece) for piece in asked.order_now],
        "waits": [_waiting_data(each) for each in asked.waiting],
        "open": list(asked.open),
        "unsettled": asked.unsettled,
        "range": {**_sums_data(asked.sums), "refused_share": _share(asked.refused)},
        "cases": {
            "count": asked.cases,
            "kits_solved": asked.solved,
            "exhausted": asked.exhausted,
            "untried_share": _share(asked.untried),
            "left_out": list(asked.left_out),
            "at_odds": list(asked.at_odds),
            "listless": list(asked.listless),
            "weights": weights(asked),
        },
        "versions": {"knowledge": asked.knowledge_version, "catalogue": asked.catalogue_version},
    }


def question_data(question: Question, asked: Asked) -> Data:
    """One question with its answers."""
    return {
        "attribute": question.attribute,
        "title": question.title,
        "kind": question.kind,
        "question": question.question,
        "why": why(question, asked),
        "see": question.see,
        "photo": question.photo,
        "tool": question.tool,
        "grade": question.grade.name,
        "known": None if question.known is None else _fact_data(question.known),
        "said_unknown": question.said_unknown,
        "settles": _worth_data(question.worth),
        "waiting": [part for _, part in question.waiting],
        "hangs_on_it": list(question.hangs_on_it),
        "also_on_the_photo": list(question.also_shown),
        "answers": [_answer_data(answer) for answer in question.answers],
    }


def _fact_data(fact: Fact) -> Data:
    return {"value": fact.show(), "grade": fact.grade.name, "source": fact.source}


def piece_data(piece: Piece) -> Data:
    """A part with its units."""
    return {
        "supplier": piece.supplier,
        "part": piece.part,
        "description": piece.description,
        "quantity": piece.units,
        "needs": list(piece.needs),
    }


def _answer_data(answer: Answer) -> Data:
    return {
        "answer": answer.words,
        "values": [list(value) if isinstance(value, tuple) else value for value in answer.values],
        "share": _share(answer.share),
        "refused_share": _share(answer.refused),
        "reasons": list(answer.reasons),
        **_sums_data(answer.sums),
        "certain": [piece_data(piece) for piece in answer.certain],
        "gone": [piece_data(piece) for piece in answer.gone],
        "checks": dict(answer.checks),
    }


def _waiting_data(each: Waiting) -> Data:
    return {
        **piece_data(each.piece),
        "quantities": [{"quantity": units, "share": _share(share)} for units, share in each.units],
        "for_answers": list(each.for_answers),
        "for_evidence": {name: least.name for name, least in each.for_evidence.items()},
    }


def _sums_data(sums: Sums) -> Data:
    return {
        "total": _money(sums.total),
        "landed_cost": _money(sums.landed),
        "hours": None if sums.hours is None else [float(sums.hours.least), float(sums.hours.most)],
        "latest_days": None if sums.days is None else [int(sums.days.least), int(sums.days.most)],
    }


def _money(found: Range | None) -> list[str] | None:
    return None if found is None else [decimal_text(found.least), decimal_text(found.most)]


def _worth_data(worth: Worth) -> Data:
    return {"lines": _share(worth.lines), "money": _share(worth.money), "days": _share(worth.days)}


def _share(value: Fraction) -> float:
    return round(float(value), DIGITS)


# ---- in words --------------------------------------------------------------------------------------------


def why(question: Question, asked: Asked) -> str:
    """Why a question is asked."""
    return "; ".join(_reasons(question, asked))


def _reasons(question: Question, asked: Asked) -> Iterator[str]:
    worth = question.worth
    lines = f"{figure(worth.lines)} of {asked.unsettled} lines that are not settled"
    if question.kind == DOUBTFUL and question.known is not None:
        said = f"{question.known.show()} is only {question.known.grade.name}"
        yield f"{said}, it must be {question.grade.name} before the order"
        if worth.lines:
            yield f"that releases {lines}"
        elif question.waiting:
            yield f"{_parts(len(question.waiting))} for it, and for more"
    elif question.kind == OPEN:
        if question.hangs_on_it or question.waiting:
            yield f"{_parts(len({*question.hangs_on_it, *question.waiting}))} for it; no values were tried"
        else:
            yield "nothing can be tried before it is known"
    else:
        yield from _settles(question, asked, lines)
    if question.also_shown and question.photo_worth.lines > worth.lines:
        together = figure(question.photo_worth.lines)
        yield f"with all that the same photo shows it settles {together} lines"
    if question.said_unknown:
        yield "nobody could say so far"


def _settles(question: Question, asked: Asked, lines: str) -> Iterator[str]:
    """What an answer settles on average, of what there is to settle."""
    worth, sums = question.worth, asked.sums
    settled = [lines] if worth.lines > 0 else []
    if worth.money > 0 and sums.total is not None:
        settled.append(f"{figure(worth.money)} of {sums.total.spread} between dearest and cheapest total")
    if worth.days > 0 and sums.days is not None:
        settled.append(f"{figure(worth.days)} of {sums.days.spread} days between earliest and latest date")
    if settled:
        yield f"an answer settles on average {words.listed(settled)}"
    elif question.waiting:
        yield f"{_parts(len(question.waiting))} for it, and for another answer"
    else:
        yield "it decides together with another answer"
    reasons = dict.fromkeys(reason for answer in question.answers for reason in answer.reasons)
    if reasons:
        stopped = [answer.words for answer in question.answers if answer.refused == 1]
        which = f" if it is {words.listed(stopped)}" if stopped else ""
        yield f"the plan may be refused{which}: {'; '.join(reasons)}"


def _parts(count: int) -> str:
    return "one line waits" if count == 1 else f"{count} lines wait"


def figure(value: Fraction) -> str:
    """An average: whole where it is whole, else with one or two digits."""
    return f"{float(value):,.2f}".rstrip("0").rstrip(".")


def how(question: Question) -> str:
    """How to find out: where to look, the photo to ask for, the tool."""
    ways = [f"look: {question.see}" if question.see else ""]
    ways.append(f"photo: {question.photo}" if question.photo else "")
    ways.append(f"tool: {question.tool}" if question.tool else "")
    return "\n".join(way for way in ways if way)


def weights(asked: Asked) -> str:
    """How the cases were weighed."""
    if not asked.weighed:
        return "all cases that the tables leave count alike"
    return f"the shop's shares of {words.listed(asked.weighed)}; all else counts alike"


def extent(asked: Asked, titles: Mapping[str, str]) -> Iterator[str]:
    """How far the cases were tried, and how they were weighed."""
    if asked.cases > 1:
        counted = f"{asked.cases} cases tried, {asked.solved} kits solved"
        yield f"{counted}: {weights(asked)}; a number stands for all up to the next limit that a rule reads."
    if not asked.exhausted:
        share = f"{float(asked.untried):.0%} of the cases have no kit" if asked.untried else ""
        left = [titles.get(name, name) for name in asked.left_out]
        kept = f"{words.listed(left)} kept unknown" if left else ""
        what = " and ".join(part for part in (share, kept) if part)
        yield f"Not all was tried: {what}. Nothing is called settled by it."
    for name in asked.at_odds:
        yield f"No value of {titles.get(name, name)} fits what is known: look again."
    for name in asked.listless:
        yield f"No values of {titles.get(name, name)} can be listed: it has to be found out."
