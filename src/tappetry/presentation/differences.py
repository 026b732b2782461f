"""What changes from one kit to another in plain words: each change in one sentence, with its reason."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from decimal import Decimal

from tappetry.knowledge.model import Knowledge
from tappetry.presentation import words
from tappetry.pricing.validity import LineChange
from tappetry.records.kit import Kept, Line, OperationLine
from tappetry.records.part import Supplier
from tappetry.records.verdict import Finding, Proof
from tappetry.services.causes import Cause
from tappetry.services.differences import Change, Changed, Difference

#: What a plan's choice comes to, in a sentence that may follow 'because'.
CHOICES = {
    ("cam", ""): "the camshaft stays as it was found",
    ("work", ""): "a new camshaft goes in",
    ("conversion", "yes"): "a new camshaft goes in",
    ("conversion", "no"): "the camshaft stays as it was found",
    ("phaser", "keep-full"): "the phaser stays with its full travel",
    ("phaser", "keep-limited"): "the phaser stays with limited travel",
    ("phaser", "remove"): "the phaser is removed",
    ("deact", "keep"): "the deactivation stays",
    ("deact", "remove"): "the deactivation is removed",
    ("heads", "on"): "the heads stay on",
    ("heads", "off"): "the heads come off",
    ("use", "daily"): "it is for daily driving",
    ("use", "tow"): "it is for towing",
    ("use", "street-strip"): "it is for street and strip",
    ("use", "track"): "it is for the track",
    ("use", "boosted"): "it is for a boosted engine",
}
#: What a plan asks of single parts and needs.
ASKED = {
    "pins": "pins",
    "wishes": "wishes for",
    "refusals": "refuses",
    "own_parts": "counts on the customer's",
    "declined": "declines",
}
#: How a truth is shown.
YES = "yes"
TRUTHS = frozenset({YES, "no", ""})
#: The states of a need that stays as it is, and of one that is not there.
REUSED, NOT_THERE = "reuse", "none"
#: Margins are told apart to so many digits; what is beyond is the noise of doubles.
DIGITS = 9
#: Members that say how a place is filled, not by what.
STANDING = {"fitted": "there", "renewed": "renewed"}


def choice(field: str, value: str, knowledge: Knowledge) -> str:
    """What a plan says in one field, as a clause: ``the phaser is removed``, ``the cam is B1``."""
    if field == "package" and value in knowledge.book.packages:
        return f"the package is {knowledge.book.packages[value].title}"
    if field == "work" and value:
        known = knowledge.book.work
        titles = [known[each].title if each in known else each for each in value.split(", ")]
        return f"the work is {words.listed(titles)}"
    return CHOICES.get((field, value), f"the {words.title(field)} is {value}")


class Teller:
    """Tells differences with the titles of a shop; for the shop, as it names suppliers."""

    def __init__(self, knowledge: Knowledge, suppliers: Mapping[str, Supplier]) -> None:
        self.knowledge = knowledge
        self.suppliers = suppliers
        self.titles = knowledge.titles()
        self.slots = knowledge.slots()

    # ---- changes -----------------------------------------------------------------------------------------

    def change(self, change: Change) -> str:
        """One change and its reason: ``adds A, because …``, ``A in place of B, because …``."""
        reason = self.reason(change)
        return f"{self.what(change)}, because {reason}" if reason else self.what(change)

    def what(self, change: Change) -> str:
        """What comes, goes, or is met otherwise, with what it is for."""
        came = [line.new for line in change.lines if line.new and not line.old]
        gone = [line.old for line in change.lines if line.old and not line.new]
        said = [self._altered(line) for line in change.lines if line.old and line.new]
        if came and gone:
            said.append(f"{_bought(came)}{self._from(came, gone)} in place of {self._replaced(came, gone)}")
        elif came:
            stayed = any(each.old and each.old.state == REUSED for each in change.kept)
            said.append(f"adds {_bought(came)}{' in place of the old one' if stayed else ''}")
        elif gone:
            said.append(f"{_bought(gone)} goes")
        said += [
            f"{'the old one ' if gone and _state(each) == REUSED else ''}{words.state(_state(each))}"
            for each in change.kept
            if each.new or not (came or gone)
        ]
        titles = [self.titles.get(need, words.title(need)) for need in change.needs]
        unsaid = [title for title in titles if not any(_says(text, title) for text in said)]
        return f"{words.listed(unsaid)}: {', '.join(said)}" if unsaid else ", ".join(said)

    def reason(self, change: Change) -> str:
        """Why: what the house prefers, or the need's own words where they are new, else what differs."""
        cause, said = change.causes[0], self._own_words(change)
        if cause.kind == "package" and cause.new:
            preferred = said not in ("", change.why.new)
            return f"{self._package(cause.new)}: {said}" if preferred else self.cause(cause)
        return said or self.cause(cause)

    def _own_words(self, change: Change) -> str:
        """What the house prefers where one part stands for another, else the need's words if new."""
        if any(line.old for line in change.lines) and any(line.new for line in change.lines):
            titles = [package.title for package in self.knowledge.book.packages.values()]
            preferred = [why for why in change.preferred.new if why not in titles]
            if preferred:
                return "; ".join(preferred)
        stands = any(line.new for line in change.lines) or any(each.new for each in change.kept)
        return change.why.new if stands and change.why.new != change.why.old else ""

    def cause(self, cause: Cause) -> str:
        """What brings a change about, as a clause."""
        if cause.kind == "plan" and cause.name in ASKED:
            return self._asked(cause)
        if cause.kind == "plan":
            return choice(cause.name, cause.new, self.knowledge)
        if cause.kind == "day":
            sooner = cause.new and (not cause.old or int(cause.new) < int(cause.old))
            return f"it has to be here within {days(int(cause.new))}" if sooner else "there is time for it"
        if cause.kind == "package":
            if cause.new:
                return f"{self._package(cause.new)} asks for it"
            return f"only {self._package(cause.old)} does otherwise"
        if cause.kind == "part":
            return self._part(cause)
        if cause.kind == "fact":
            return self._fact(cause)
        if cause.kind == "value":
            named = self.knowledge.named.get(cause.name)
            title, unit = (named.title, words.unit(named.unit)) if named else (words.title(cause.name), "")
            if {cause.old, cause.new} <= TRUTHS:
                return f"it {'now' if cause.new == YES else 'no longer'} holds that {title}"
            return f"{title}: {_becomes(cause.old, cause.new, unit)}"
        return "that is cheapest for the whole order"

    def origin(self, cause: Cause) -> str:
        """What changes hang on, as a heading: a choice of the plan, a package, or another part."""
        if cause.kind == "part":
            return f"{self._title(cause.name)} is another" if cause.old and cause.new else self._part(cause)
        return self.cause(cause)

    def _fact(self, cause: Cause) -> str:
        """What is known of the engine now, and what was."""
        known = {each.name_in_conditions: each for each in self.knowledge.attributes.values()}
        attribute = known.get(cause.member)
        title, unit = (attribute.title, attribute.unit) if attribute else (words.title(cause.member), "")
        return f"{title}: {_becomes(cause.old, cause.new, words.unit(unit))}"

    def _asked(self, cause: Cause) -> str:
        """What a plan asks of one part or need, or asks no longer."""
        what = cause.new or cause.old
        named = self.titles.get(what, what)
        return f"the plan {'' if cause.new else 'no longer '}{ASKED[cause.name]} {named}"

    def _part(self, cause: Cause) -> str:
        title = self._title(cause.name)
        if cause.member in STANDING:
            return f"{title} is {'' if cause.new == YES else 'not '}{STANDING[cause.member]}"
        if not cause.new:
            return f"{title} is not there"
        if not cause.old:
            return f"{title} comes in"
        attribute = self.knowledge.part_attributes.get(cause.member, {})
        member = attribute.get("title", words.title(cause.member))
        unit = words.unit(attribute.get("unit", ""))
        return f"{title}, {member}: {_becomes(cause.old, cause.new, unit)}"

    def _title(self, root: str) -> str:
        slot = self.slots.get(root)
        return self.titles.get(slot.need, words.title(root)) if slot else words.title(root)

    def _package(self, name: str) -> str:
        return self.knowledge.book.packages[name].title

    def _from(self, came: Sequence[Line], gone: Sequence[Line]) -> str:
        """From whom it comes, where that is somebody else than before."""
        codes = dict.fromkeys(line.supplier for line in came)
        if set(codes) == {line.supplier for line in gone}:
            return ""
        return f" from {words.listed(self._supplier(code) for code in codes)}"

    def _replaced(self, came: Sequence[Line], gone: Sequence[Line]) -> str:
        """What goes; only from whom where it is called the same."""
        if _bought(came) == _bought(gone):
            return f"that{self._from(gone, came)}"
        return f"{_bought(gone)}{self._from(gone, came)}"

    def _supplier(self, code: str) -> str:
        supplier = self.suppliers.get(code)
        return supplier.name if supplier else code

    @staticmethod
    def _altered(line: LineChange) -> str:
        """A line of both kits, in another number or at another price."""
        if line.old_quantity != line.new_quantity:
            return f"{line.description}: {line.old_quantity} becomes {line.new_quantity}"
        return f"{line.description}: {words.amount(line.old_total)} becomes {words.amount(line.new_total)}"

    # ---- the rest ----------------------------------------------------------------------------------------

    def operations(self, difference: Difference) -> Iterator[tuple[str, Decimal]]:
        """The work that comes, goes or takes other hours, each with the hours that it changes."""
        for each in difference.operations:
            hours = _hours(each.new) - _hours(each.old)
            if each.old is None:
                yield f"work added: {each.either.what}", hours
            elif each.new is None:
                yield f"work saved: {each.either.what}", hours
            elif hours:
                yield f"other hours: {each.either.what}", hours

    def proofs(self, difference: Difference) -> Iterator[str]:
        """The checks that turn, then those with more margin, then those with less."""
        for each in difference.proofs:
            if turns(each):
                yield f"{each.either.title}: {_outcome(each.old)} becomes {_outcome(each.new)}"
        for more, said in ((True, "more margin"), (False, "less margin")):
            for each in difference.proofs:
                moved = None if turns(each) else margin_gained(each)
                if moved and (moved > 0) is more and _margin(each.old) != _margin(each.new):
                    yield f"{said}: {each.either.title}, {_margin(each.old)} becomes {_margin(each.new)}"

    def findings(self, difference: Difference) -> Iterator[str]:
        """The gates that say something else."""
        for each in difference.findings:
            if _verdict(each.old) != _verdict(each.new):
                yield f"{each.either.text}: {_verdict(each.old)} becomes {_verdict(each.new)}"

    def money(self, difference: Difference) -> str:
        """Total, hours and days in one phrase: ``582.00 more, 2.2 hours more, the same day``."""
        return ", ".join(
            (
                more(difference.total, words.amount, "the same total"),
                more(difference.hours, lambda value: f"{words.hours(value)} hours", "the same hours"),
                _later(difference.days),
            )
        )


def grouped(changes: Iterable[Change]) -> dict[Cause, list[Change]]:
    """Changes by what they hang on; several values of one other part are one cause."""
    groups: dict[tuple[str, str], tuple[Cause, list[Change]]] = {}
    for change in changes:
        key = (change.origin.kind, change.origin.name)
        groups.setdefault(key, (change.origin, []))[1].append(change)
    return dict(groups.values())


def turns(each: Changed[Proof]) -> bool:
    """Whether a check comes out otherwise, or is made in one of the kits only."""
    return each.old is None or each.new is None or each.old.verdict != each.new.verdict


def margin_gained(each: Changed[Proof]) -> float | None:
    """How much more margin there is, in the unit of the check; None where a margin is not known."""
    old = None if each.old is None else each.old.margin
    new = None if each.new is None else each.new.margin
    return None if old is None or new is None else round(new - old, DIGITS)


def more(value: Decimal, shown: Callable[[Decimal], str], same: str) -> str:
    """An amount as more or less: ``582.00 more``."""
    return f"{shown(abs(value))} {'more' if value > 0 else 'less'}" if value else same


def days(count: int) -> str:
    """Working days in words: ``1 working day``."""
    return f"{count} working day{'' if count == 1 else 's'}"


def _later(count: int) -> str:
    if not count:
        return "the same day"
    return f"{days(abs(count))} {'later' if count > 0 else 'earlier'}"


def _becomes(old: str, new: str, unit: str) -> str:
    sign = f" {unit}" if unit else ""
    return f"{old or 'none'}{sign if old else ''} becomes {new or 'none'}{sign if new else ''}"


def _bought(lines: Iterable[Line]) -> str:
    """Lines in one phrase, with units where there are several."""
    return words.listed(
        f"{line.quantity} x {line.description}" if line.quantity > 1 else line.description for line in lines
    )


def _state(each: Changed[Kept]) -> str:
    return NOT_THERE if each.new is None else each.new.state


def _says(text: str, title: str) -> bool:
    """Whether a text names what something is for."""
    return title.lower() in text.lower()


def _hours(operation: OperationLine | None) -> Decimal:
    return operation.hours if operation else Decimal(0)


def _margin(proof: Proof | None) -> str:
    return words.signed_figure(proof.margin, proof.unit) if proof else ""


def _outcome(proof: Proof | None) -> str:
    """How a check comes out, with its margin."""
    if proof is None:
        return "not asked"
    margin = f" ({_margin(proof)})" if proof.margin is not None else ""
    return f"{words.VERDICTS[proof.verdict]}{margin}"


def _verdict(finding: Finding | None) -> str:
    return "not asked" if finding is None else words.VERDICTS[finding.verdict]
