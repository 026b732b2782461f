"""What to ask next as tables for the terminal: the question, the others, what is safe, what waits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from rich.console import RenderableType
from rich.text import Text

from tappetry.cli.tables import Cell, heading, table
from tappetry.kitting.asking.measure import Range
from tappetry.knowledge.model import Knowledge
from tappetry.presentation import words
from tappetry.presentation.asked import extent, how, why
from tappetry.records.job import Job
from tappetry.services.ask_records import Answer, Asked, Piece, Question, Sums, Waiting

#: So many lines that come or go with an answer are named.
FEW = 4


def pages(asked: Asked, job: Job, knowledge: Knowledge) -> Iterator[RenderableType]:
    """All that is known about what is not known."""
    titles = {
        **{each.id: each.title for each in knowledge.attributes.values()},
        **knowledge.titles(),
    }
    yield Text(f"{job.id}  {job.title}", style="bold")
    yield from _next(asked)
    yield from _others(asked.questions[1:], asked)
    yield from _order_now(asked.order_now, titles)
    yield from _waits(asked.waiting, titles)
    if asked.open:
        names = words.listed(titles.get(name, name) for name in asked.open)
        yield Text(f"\nOpen whatever is answered: {names}")
    if asked.settled:
        names = words.listed(titles.get(name, name) for name in asked.settled)
        yield Text(f"\nUnknown, and no longer matters: {names}")
    yield from _range(asked)
    for line in extent(asked, titles):
        yield Text(line)
    yield Text(f"knowledge {asked.knowledge_version}, catalogue {asked.catalogue_version}", style="dim")


def _next(asked: Asked) -> Iterator[RenderableType]:
    """The question to ask next, why, how to answer it, and what each answer changes."""
    first = asked.next_question
    if first is None:
        yield Text("\nNothing is left to ask.")
        return
    yield heading("Ask next")
    yield Text(first.question, style="bold")
    yield Text(f"why: {why(first, asked)}")
    yield Text(how(first))
    if first.answers:
        yield table(
            ("if it is", "share", "total", "what it decides"),
            (_answer(each, asked) for each in first.answers),
            right=("share", "total"),
        )


def _answer(answer: Answer, asked: Asked) -> tuple[Cell, ...]:
    share = f"{float(answer.share):.0%}"
    if answer.refused == 1:
        return answer.words, share, "refused", Text("; ".join(answer.reasons), style="red")
    sums, whole = answer.sums, asked.sums
    decides = [_named("+", answer.certain), _named("-", answer.gone)]
    decides += [f"{_hours(sums.hours)} hours"] if sums.hours != whole.hours else []
    decides += [f"last part after {_days(sums.days)} working days"] if sums.days != whole.days else []
    decides += [f"{name}: {verdict}" for name, verdict in answer.checks.items()]
    return answer.words, share, _money(sums.total), "\n".join(each for each in decides if each)


def _named(sign: str, pieces: Iterable[Piece]) -> str:
    """The lines that come or go with an answer."""
    every = [f"{sign} {piece.units} x {piece.part}" for piece in pieces]
    more = [f"{len(every) - FEW} more"] if len(every) > FEW else []
    return "\n".join([*every[:FEW], *more])


def _others(questions: Iterable[Question], asked: Asked) -> Iterator[RenderableType]:
    rows = [_row(question, asked) for question in questions]
    if rows:
        yield heading("Then")
        yield table(("question", "why", "how to answer it"), rows)


def _row(question: Question, asked: Asked) -> tuple[Cell, ...]:
    return question.question, why(question, asked), how(question)


def _order_now(pieces: Iterable[Piece], titles: Mapping[str, str]) -> Iterator[RenderableType]:
    rows = [(str(piece.units), _part(piece), _needs(piece, titles), piece.description) for piece in pieces]
    if rows:
        yield heading("May be ordered now: the same in every case, and known well enough")
        yield table(("units", "part", "for", "what"), rows, right=("units",))


def _waits(waiting: Iterable[Waiting], titles: Mapping[str, str]) -> Iterator[RenderableType]:
    rows = [
        (
            _units(each),
            f"{each.piece.supplier} {each.piece.part}",
            _needs(each.piece, titles),
            _for(each, titles),
        )
        for each in waiting
    ]
    if rows:
        yield heading("Waits")
        yield table(("units", "part", "for", "until"), rows, right=("units",))


def _units(each: Waiting) -> str:
    return " or ".join(str(units) for units, _ in each.units)


def _for(each: Waiting, titles: Mapping[str, str]) -> str:
    """What a part waits for."""
    answers = [f"{titles.get(name, name)} is known" for name in each.for_answers]
    better = [f"{titles.get(name, name)} is {least.name}" for name, least in each.for_evidence.items()]
    return "\n".join([*answers, *better]) or "every case has a kit"


def _part(piece: Piece) -> str:
    return f"{piece.supplier} {piece.part}"


def _needs(piece: Piece, titles: Mapping[str, str]) -> str:
    return words.listed(titles.get(need, words.title(need)) for need in piece.needs)


def _range(asked: Asked) -> Iterator[RenderableType]:
    sums: Sums = asked.sums
    if sums.total is None:
        return
    yield heading("What it may come to")
    rows = [
        ("total", _money(sums.total)),
        ("hours", _hours(sums.hours)),
        ("last part after", _days(sums.days)),
    ]
    if asked.refused:
        rows.append(("refused", f"{float(asked.refused):.0%} of the cases"))
    yield table(("", "from, to"), rows)


def _money(found: Range | None) -> str:
    if found is None:
        return ""
    ends = [words.amount(found.least), words.amount(found.most)]
    return _ends(ends)


def _hours(found: Range | None) -> str:
    return "" if found is None else _ends([words.hours(found.least), words.hours(found.most)])


def _days(found: Range | None) -> str:
    return "" if found is None else _ends([str(found.least), str(found.most)])


def _ends(ends: list[str]) -> str:
    return ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"
