"""Why a line stands in a kit: need, then rule, then fact, then who said so, as data and as trees."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from rich.console import RenderableType
from rich.text import Text
from rich.tree import Tree

from tappetry.cli.tables import heading
from tappetry.presentation import words
from tappetry.records.kit import Because, Kit
from tappetry.records.problems import BadInput, Where

KINDS = {
    "rule": "because",
    "match": "must match",
    "choice": "chosen",
    "proof": "proved",
    "pack": "packing",
    "advice": "advice",
    "fact": "known",
}


@dataclass(frozen=True, slots=True)
class Reason:
    """One line of the kit, or one need that is met without a line, and why."""

    part: str
    needs: tuple[str, ...]
    what: str
    why: tuple[Because, ...]


def reasons(kit: Kit, name: str = "") -> tuple[Reason, ...]:
    """The reasons of the whole kit, or of one part number or need.

    Raises
    ------
    BadInput
        Neither a part nor a need of the kit is called so; the closest is named.
    """
    every = [
        Reason(
            line.part,
            tuple(filled.need for filled in line.needs),
            f"{words.quantity(line.quantity, line.unit)} x {line.part}: {line.description}",
            line.why,
        )
        for line in kit.lines
    ]
    every += [
        Reason("", (kept.need,), f"{words.state(kept.state)}: {kept.text}", kept.why) for kept in kit.kept
    ]
    every += [
        Reason(
            "",
            (offer.need,),
            f"left out: {offer.offer}",
            _offer(offer.reason_to_buy, offer.reason_to_decline),
        )
        for offer in kit.declined
    ]
    if not name:
        return tuple(every)
    found = tuple(each for each in every if name == each.part or name in each.needs)
    if not found:
        names = sorted({each for reason in every for each in (reason.part, *reason.needs) if each})
        close = get_close_matches(name, names, 1)
        hint = f"; did you mean {close[0]}?" if close else ""
        expected = "" if close else "a part number or a need of the kit"
        raise BadInput.at(Where(f"job {kit.job}"), f"the kit has no such part or need{hint}", name, expected)
    return found


def trees(shown: Iterable[Reason], titles: Mapping[str, str]) -> Iterator[RenderableType]:
    """One tree for each reason."""
    yield heading("Why")
    for reason in shown:
        tree = Tree(Text(reason.what, style="bold"))
        branch = tree
        for because in reason.why:
            if because.kind == "need":
                branch = tree.add(_link("for", titles.get(because.id, because.text), because))
            else:
                branch.add(_link(KINDS.get(because.kind, because.kind), because.text, because))
        if not reason.why:
            tree.add(Text(words.listed(titles.get(need, words.title(need)) for need in reason.needs)))
        yield tree


def _link(kind: str, text: str, because: Because) -> Text:
    """One link: what, then who says so, then the values that it rests on."""
    what = f"{words.title(because.id)} {text}" if because.kind == "fact" else text
    link = Text(f"{kind}: ", style="dim")
    link.append(what, style="not dim")
    if because.source:
        link.append(f" [{because.source}]")
    if because.facts:
        link.append(f" ({', '.join(because.facts)})")
    return link


def _offer(to_buy: str, to_decline: str) -> tuple[Because, ...]:
    return (
        Because("advice", "", f"to buy it: {to_buy}"),
        Because("advice", "", f"to leave it: {to_decline}"),
    )
