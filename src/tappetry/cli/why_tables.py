"""Why a line stands in a kit, and why no other part: as data, as trees, and as a short page."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from rich.console import RenderableType
from rich.text import Text
from rich.tree import Tree

from tappetry.cli.tables import heading, table
from tappetry.presentation import words
from tappetry.presentation.why_not import ASKED, along, brief, outcome
from tappetry.records.kit import Because, Kit
from tappetry.records.problems import BadInput, Where
from tappetry.records.why_not import RunnerUp, WhyNot

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


def reasons(kit: Kit, name: str = "", needs: Collection[str] = ()) -> tuple[Reason, ...]:
    """The reasons of the whole kit, or of one part number or need; none of a need that the kit leaves out.

    Raises
    ------
    BadInput
        No part of the kit is called so, and no need; the closest is named.
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
    if not found and name not in needs:
        names = sorted({each for r in every for each in (r.part, *r.needs) if each} | set(needs))
        close = get_close_matches(name, names, 1)
        hint = f"; did you mean {close[0]}?" if close else ""
        expected = "" if close else "a part number or a need of the kit"
        raise BadInput.at(Where(f"job {kit.job}"), f"the kit has no such part or need{hint}", name, expected)
    return found


def left_out(places: Iterable[WhyNot]) -> tuple[Reason, ...]:
    """The reasons of needs for which the kit has neither a line nor anything that stays."""
    return tuple(
        Reason("", (place.need,), f"{words.state(place.state)}: {place.chosen}", place.why)
        for place in places
    )


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


def runners_up(places: Iterable[WhyNot]) -> Iterator[RenderableType]:
    """What else there was for each place: what it would cost or break."""
    for place in places:
        where = f"{place.title} ({place.slot})" if place.slot else place.title
        yield heading(f"What else there was: {where}")
        if not place.runners_up:
            yield Text("No other part of the price lists comes into question.")
        for each in place.runners_up:
            yield _runner_up(each)
        if place.more:
            yield Text(f"{place.more} more were not tried.", style="dim")


def _runner_up(each: RunnerUp) -> Tree:
    """One tree: the part, its outcome, what changes with it, and what fares the same."""
    asked = f" ({ASKED[each.asked]})" if each.asked else ""
    tree = Tree(Text(f"{each.part}: {each.description}{asked}", style="bold"))
    tree.add(Text(outcome(each)))
    for change in along(each.cost) if each.cost else ():
        tree.add(Text(change, style="dim"))
    for ground in each.grounds:
        tree.add(Text(f"{ground.text} [{ground.owner}]", style="dim"))
    if each.alike:
        tree.add(Text(f"and so {words.listed(each.alike)}", style="dim"))
    return tree


def overview(kit: Kit, places: Iterable[WhyNot]) -> Iterator[RenderableType]:
    """Every line with its reason and its nearest runner-up, then what is not bought though it could be."""
    by_need = {(place.need, place.slot): place for place in places}
    yield heading("Why each line")
    rows = []
    for line in kit.lines:
        filled = [by_need[f.need, f.slot] for f in line.needs]
        nearest = next((each for place in filled for each in place.runners_up), None)
        titles = words.listed(dict.fromkeys(place.title for place in filled))
        rows.append((line.part, titles, _because(filled[0]), "" if nearest is None else brief(nearest)))
    yield table(("part", "for", "because", "nearest that was not taken"), rows)
    kept = [place for place in by_need.values() if not place.parts and place.runners_up]
    if kept:
        yield heading("What is not bought, though it could be")
        yield table(
            ("need", "how it is met", "because", "new"),
            ((p.title, words.state(p.state), p.chosen, brief(p.runners_up[0])) for p in kept),
        )
    yield Text("All of one line: tappetry why JOB PART|NEED", style="dim")


def _because(place: WhyNot) -> str:
    """The first rule of a reason."""
    return next((because.text for because in place.why if because.kind == "rule"), "")


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
