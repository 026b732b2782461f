"""States, verdicts, quantities and plans in plain words that a customer reads without a dictionary."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING

from tappetry.quantities import calendar
from tappetry.records.evidence import Fact, Grade
from tappetry.records.plan import Plan, Work
from tappetry.records.verdict import Effect, Proof, Remedy, Verdict

if TYPE_CHECKING:
    from tappetry.records.kit import Kept

#: Days are told everywhere alike.
day = calendar.day

#: A chance of failing below this is not told in figures.
SMALL = 0.001
#: Nor one above this.
CERTAIN = 0.995

VERDICTS: dict[str, str] = {
    Verdict.PASS: "passes",
    Verdict.STOP: "stops the job",
    Verdict.SIGN: "needs a signature",
    Verdict.WARN: "to watch",
    Verdict.NOTE: "noted",
    Verdict.UNKNOWN: "not known yet",
}

#: A check that passes, and that more than this share of such engines would fail, passes in doubt: no more lie
#: outside of a band.
DOUBTFUL = 0.05
#: What a check that passes in doubt comes to; any other one comes to its verdict.
DOUBT = "DOUBT"
OUTCOMES: dict[str, str] = {**VERDICTS, DOUBT: "passes, in doubt"}

IMPORTANCE = {"must": "needed", "should": "advised", "could": "your choice"}

#: How a need is met without buying, by the state that a kit gives it.
STATES = {
    "reuse": "stays in the engine",
    "shop stock": "from shop stock",
    "outside service": "done outside",
    "by hand": "sourced by hand",
    "own": "your own part",
    "open": "still open",
    "none": "not needed",
}

GRADES = {
    Grade.assumed: "assumed, to be confirmed",
    Grade.told: "as told to us",
    Grade.decoded: "from the papers",
    Grade.seen: "seen",
    Grade.measured: "measured",
}

_UNITS = {
    "deg": "°",
    "percent": "%",
    "lb_in": "lb/in",
    "nm": "N·m",
    "kpa": "kPa",
    "mpa": "MPa",
    "l": "L",
    "kg": "kg",
    "1": "",
    "-": "",
}

#: Digits after the point in which the trade reads a unit; any other unit shows four significant digits.
_DIGITS = {
    "in": 3,
    "mm": 2,
    "cc": 1,
    "lb": 0,
    "lb_in": 0,
    "N": 0,
    "rpm": 0,
    "km": 0,
    "deg": 1,
    "percent": 1,
    "mpa": 0,
}

_PHASER = {
    "keep-full": "The cam phaser stays and keeps its full travel.",
    "keep-limited": "The cam phaser stays; a stop limits its travel to keep the valves clear of the pistons.",
    "remove": "The cam phaser is taken out and a fixed cam gear goes in.",
}
_DEACT = {
    "keep": "Cylinder deactivation stays in working order.",
    "remove": "Cylinder deactivation is taken out: standard lifters, cover and oil passages closed.",
}
_HEADS = {
    "on": "The cylinder heads stay on the engine.",
    "off": "The cylinder heads come off, and are checked before they go back.",
}
_USES = {
    "daily": "for daily driving",
    "tow": "for towing",
    "street-strip": "for street and strip",
    "track": "for the track",
    "boosted": "for a boosted engine",
}


def state(name: str) -> str:
    """How a need is met, in words; a state without words of its own is shown as it is."""
    return STATES.get(name, name)


def unit(name: str) -> str:
    """A unit's sign as people write it."""
    return _UNITS.get(name, name)


def figure(value: float | None, unit_name: str = "") -> str:
    """A number with its unit, in as many digits as the trade reads: ``0.143 in``, ``6,600 rpm``."""
    if value is None or not math.isfinite(value):
        return "–"
    digits = _DIGITS.get(unit_name)
    text = f"{value:,.{digits}f}" if digits is not None else f"{value:.4g}"
    sign = unit(unit_name)
    return f"{text}{sign}" if sign == "°" else f"{text} {sign}".strip()


def signed_figure(value: float | None, unit_name: str = "") -> str:
    """A margin: the number with its sign always written."""
    text = figure(value, unit_name)
    return f"+{text}" if value is not None and math.isfinite(value) and value >= 0 else text.replace("-", "−")


def outcome(proof: Proof) -> str:
    """What a check comes to, one of ``OUTCOMES``: its verdict, or that it passes in doubt."""
    doubtful = proof.verdict is Verdict.PASS and (proof.chance_of_failing or 0.0) > DOUBTFUL
    return DOUBT if doubtful else proof.verdict


def remedy(tried: Remedy) -> str:
    """A remedy with the value that it gives and what it does to the other proofs."""
    given = f"{figure(tried.value, tried.unit)} of {figure(tried.limit, tried.unit)}"
    return f"{tried.text}: {'; '.join([given, *effects(tried)])}"


def effects(tried: Remedy) -> list[str]:
    """What a remedy does to the other proofs; what breaks is said, what is the same value is not."""
    return [
        f"{effect.title} {figure(effect.value, effect.unit)}{_broken(effect)}"
        for effect in tried.effects
        if (effect.value, effect.unit) != (tried.value, tried.unit)
    ]


def _broken(effect: Effect) -> str:
    return "" if effect.verdict is Verdict.PASS else f" ({VERDICTS[effect.verdict]})"


def bound(proof: Proof) -> str:
    """On which side of its limit a value should lie, as its margin shows; nothing when it lies on it."""
    if proof.value is None or proof.limit is None or not proof.margin:
        return ""
    return "at least" if (proof.value > proof.limit) == (proof.margin > 0) else "at most"


def band(proof: Proof) -> str:
    """How far a margin may be off: ``± 0.012 in``; empty where that is not known."""
    return "" if proof.band is None else f"± {figure(proof.band, proof.unit)}"


def chance(share: float) -> str:
    """A chance as people say it: ``under 1 in 1,000``, ``1 in 6``, ``83 in 100``."""
    if share < SMALL:
        return "under 1 in 1,000"
    if share > CERTAIN:
        return "over 99 in 100"
    return f"1 in {1 / share:,.0f}" if share < 0.4 else f"{share * 100:.0f} in 100"


def doubt(proof: Proof) -> str:
    """A proof in one sentence: value and limit, how well they are known, what that rests on, what narrows it.

    Empty where nothing is known of any spread.
    """
    if proof.doubt is None or proof.band is None or proof.chance_of_failing is None:
        return ""
    limit = f"{bound(proof)} {figure(proof.limit, proof.unit)}".strip()
    said = [
        f"{figure(proof.value, proof.unit)}, {limit}",
        f"{band(proof)}, chance of failing {chance(proof.chance_of_failing)}",
    ]
    if proof.doubt.measure is not None:
        said.append(f"measure the {lowered(proof.doubt.measure.title)} to narrow it")
    if proof.doubt.estimate:
        said.append("an estimate until measured")
    if proof.doubt.assumed:
        said.append("on assumed spreads")
    return "; ".join(said)


def worth_measuring(proof: Proof) -> str:
    """What to measure where it is open how a proof comes out: ``measure the rocker ratio to narrow it``."""
    measure = None if proof.doubt is None else proof.doubt.measure
    if measure is None or not SMALL <= (proof.chance_of_failing or 0.0) <= CERTAIN:
        return ""
    return f"measure the {lowered(measure.title)} to narrow it"


def doubt_note(proofs: Iterable[Proof]) -> str:
    """What the bands and chances of several proofs rest on; empty where there are none."""
    proofs = tuple(proofs)
    doubts = [proof.doubt for proof in proofs if proof.doubt is not None]
    said = []
    if any(outcome(proof) == DOUBT for proof in proofs):
        said.append(
            f"{OUTCOMES[DOUBT].capitalize()}: more than {chance(DOUBTFUL)} such engines would miss the limit."
        )
    if any(each.assumed for each in doubts):
        said.append("Where nobody stated how far a value may be off, what is common in the trade is assumed.")
    if any(each.estimate for each in doubts):
        said.append("Margins are estimates until they are measured.")
    return " ".join(said)


def amount(value: Decimal) -> str:
    """Money for a reader: two digits and thousands apart, ``8,439.31``."""
    return f"{value.quantize(Decimal('0.01'), rounding=ROUND_HALF_UP):,}"


def decimal_figure(value: float) -> str:
    """A number of a table in four significant digits: ``6,600``, ``0.1433``."""
    return f"{value:,.0f}" if abs(value) >= 1000.0 else f"{value:.4g}"


def decimal_text(value: Decimal) -> str:
    """Money for a machine: two digits and nothing else, ``8439.31``."""
    return str(value.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))


def hours(value: Decimal) -> str:
    """Book hours with one digit, two where they are needed."""
    return f"{value:.2f}" if value * 10 % 1 else f"{value:.1f}"


def working_days(count: int) -> str:
    """A number of working days: ``1 working day``, ``4 working days``."""
    return f"{count} working day" if count == 1 else f"{count} working days"


def quantity(count: int, sold_as: str) -> str:
    """How many units of sale: ``1 set of 16``, ``2 boxes of 4``, ``2`` for single pieces."""
    if sold_as in ("each", ""):
        return str(count)
    return f"{count} {sold(sold_as, count)}"


def sold(unit_of_sale: str, count: int = 1) -> str:
    """A unit of sale in words: ``set of 16``, ``engine sets``, ``piece``."""
    name, _, holds = unit_of_sale.partition("/")
    name = "piece" if name in ("each", "") else name
    name = name if count == 1 else f"{name}es" if name.endswith(("x", "s", "sh", "ch")) else f"{name}s"
    if holds in ("engine", "head"):
        return f"{holds} {name}"
    return f"{name} of {holds}" if holds else name


def title(identifier: str) -> str:
    """An id as words, for what has no title of its own."""
    return identifier.replace("-", " ").replace("_", " ")


def told_once(places: Iterable[Kept]) -> list[Kept]:
    """What is met without buying: places of a need of which the same is said are one, with all pieces."""
    told: dict[tuple[str, str, str], list[Kept]] = {}
    for each in places:
        told.setdefault((each.need, each.state, each.text), []).append(each)
    return [_as_one(alike) for alike in told.values()]


def _as_one(alike: Sequence[Kept]) -> Kept:
    allowed = [each.allowance for each in alike if each.allowance is not None]
    allowance = sum(allowed, Decimal(0)) if allowed else None
    return replace(alike[0], pieces=sum(each.pieces for each in alike), allowance=allowance)


def kept(each: Kept, among: Iterable[Kept], named: str) -> str:
    """What is met without buying, by its title; with its pieces where others of its need are among them."""
    alike = sum(other.need == each.need for other in among)
    return f"{named} ({each.pieces})" if alike > 1 and each.pieces else named


def value(stated: object, unit_name: str = "") -> str:
    """A value of an attribute: yes or no, a list with commas, a number with its unit, a text as it stands."""
    if isinstance(stated, bool):
        return "yes" if stated else "no"
    if isinstance(stated, int | float):
        return f"{stated:.10g} {unit(unit_name)}".strip()
    return ", ".join(map(str, stated)) if isinstance(stated, list | tuple) else str(stated)


def fact(known: Fact) -> str:
    """A fact's value as it was read, its grade in words, and who says so."""
    return f"{known.show()} ({GRADES[known.grade]}: {known.source})"


def plan(decided: Plan, work: Mapping[str, Work], read: Collection[str]) -> tuple[str, ...]:
    """What customer and shop decided, one sentence each.

    Parameters
    ----------
    decided : Plan
    work : mapping of str to Work
        What may be asked for in place of a camshaft.
    read : collection of str
        The fields of a plan that the shop's text reads. Where it does not read what becomes of the heads,
        neither parts nor work come of it, and nothing is said.
    """
    use = _USES.get(decided.use, f"for {decided.use}")
    if decided.conversion:
        grind = f", grind {decided.cam}" if decided.cam else ""
        sentences = [f"A new camshaft{grind}, {use}."]
    else:
        sentences = [*(work[each].says for each in decided.work), "The camshaft stays as it was found."]
    sentences += [
        words[choice]
        for words, choice in (
            (_DEACT, decided.deact),
            (_PHASER, decided.phaser),
            (_HEADS if "heads" in read else {}, decided.heads),
        )
        if choice in words
    ]
    if decided.rpm is not None:
        sentences.append(f"The engine is planned to run up to {decided.rpm:,.0f} revolutions a minute.")
    for own in decided.own_parts:
        sentences.append(f"You bring: {own.description}{' (used)' if own.used else ''}.")
    if decided.need_by is not None:
        sentences.append(f"You need the car by {day(decided.need_by)}.")
    return tuple(sentences)


def by(person: str) -> str:
    """Whose decision it was to leave an offer out, said to the customer."""
    return {"shop": "our advice", "customer": "your wish"}.get(person, person)


def lowered(phrase: str) -> str:
    """A title inside a sentence: first letter small, unless it is an abbreviation."""
    return phrase if phrase[1:2].isupper() else phrase[:1].lower() + phrase[1:]


def listed(names: Iterable[str]) -> str:
    """Names in one phrase: ``a, b and c``."""
    *first, last = list(names) or [""]
    return f"{', '.join(first)} and {last}" if first else last
