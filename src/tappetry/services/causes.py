"""Why a need is met otherwise in one kit than in another: what its conditions read, as it is in both."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from tappetry.assembly.sentences import show
from tappetry.kitting.options import RENEWED
from tappetry.kitting.resolve import Resolution, ordered_preferences
from tappetry.knowledge.language import Expression, Read, Unknown
from tappetry.knowledge.model import Knowledge, Need, Package, Preference
from tappetry.quantities.calendar import working_days
from tappetry.records.kit import Kit, Line
from tappetry.services.kits import KitResult

Kind = Literal["plan", "day", "package", "fact", "part", "value", "price"]
#: What lies closest to the plan comes first.
KINDS = get_args(Kind)
#: The roots that tell what is known of an engine.
FACTS = frozenset({"engine", "stated", "grade"})
#: What a plan says otherwise by the way when a camshaft takes the place of work, or work that of a camshaft.
WITH_A_CAM = frozenset({"cam", "work"})


@dataclass(frozen=True, slots=True)
class Cause:
    """What brings a change about, as it is in both kits; empty where it is not there, or not known.

    ``plan``: what the plan says of ``name``. ``day``: working days until all must be here. ``package``: the
    package that has a say of its own, named on the side on which it has. ``fact``: what is known of the
    engine, by the ``member`` that conditions read. ``part``: what stands in another place, ``name`` its root
    and ``member`` what is read of it. ``value``: a named value. ``price``: nothing
    but the money of the whole order.
    """

    kind: Kind
    name: str = ""
    member: str = ""
    old: str = ""
    new: str = ""

    def turned(self) -> Cause:
        """The same cause in the other direction."""
        return Cause(self.kind, self.name, self.member, self.new, self.old)


class Causes:
    """What the needs' conditions read in two kits of one engine, of which one may know more."""

    def __init__(self, knowledge: Knowledge, old: KitResult, new: KitResult) -> None:
        self.knowledge = knowledge
        self.old = old
        self.new = new
        self.packages = tuple(
            knowledge.book.packages[each.job.plan.package or knowledge.book.default_package]
            for each in (old, new)
        )
        self.need_of = {slot.root: slot.need for slot in knowledge.slots().values()}
        self.known: dict[Read, Cause | None] = {}

    def of(self, needs: Iterable[str]) -> tuple[Cause, ...]:
        """Why needs are met otherwise: plan, day, package, parts elsewhere, values, and at last the price."""
        own = frozenset(needs)
        reads = {read for need in own for read in self._reads(self.knowledge.needs[need])}
        found = {cause for read in reads if (cause := self._cause(read, own))}
        found.update(self._asked(own), self._day(own))
        found.update(cause for need in own for cause in self._package(need))
        return tuple(sorted(found, key=_place)) or (Cause("price"),)

    def origin(self, needs: Iterable[str], causes: tuple[Cause, ...]) -> Cause:
        """What the first of the causes hangs on: a value is traced to the plan, or to a part elsewhere."""
        own = frozenset(needs)
        first = causes[0]
        level = [first.name] if first.name in self.knowledge.named else []
        visited: set[str] = set()
        while level:
            visited.update(level)
            reads = [read for name in level for read in self.old.resolution.values.named_reads(name)]
            found = [cause for read in reads if (cause := self._cause(read, own))]
            for kind in ("plan", "fact", "part"):
                for cause in found:
                    if cause.kind == kind:
                        return cause
            level = [c.name for c in found if c.name in self.knowledge.named and c.name not in visited]
        return first

    def _cause(self, read: Read, own: frozenset[str]) -> Cause | None:
        """A value that is not the same in both kits, unless it is the needs' own."""
        if self.need_of.get(read.root) in own:
            return None
        if read not in self.known:
            was, now = _shown(self.old.resolution, read), _shown(self.new.resolution, read)
            self.known[read] = None if was == now else self._named(read, was, now)
        return self.known[read]

    def _named(self, read: Read, was: str, now: str) -> Cause:
        if read.root == "plan":
            turned = [show(each.job.plan.conversion) for each in (self.old, self.new)]
            if read.member in WITH_A_CAM and turned[0] != turned[1]:
                return Cause("plan", "conversion", "", *turned)
            return Cause("plan", read.member, "", was, now)
        if read.root in FACTS:
            return Cause("fact", read.root, read.member, was, now)
        if read.root in self.need_of:
            return Cause("part", read.root, read.member, was, now)
        return Cause("value", read.root, read.member, was, now)

    def _reads(self, need: Need) -> Iterator[Read]:
        """All that decides whether a need is there, is renewed, how many it takes and what may fill it."""
        for expression in self._expressions(need):
            if expression is not None:
                yield from expression.reads

    def _expressions(self, need: Need) -> Iterator[Expression | None]:
        yield need.when
        rules = list(need.rules)
        for slot in need.slots:
            yield from (slot.when, slot.pieces)
            rules += slot.match
        for rule in rules:
            yield from (rule.when, rule.that)
        for package in self.packages:
            yield package.renew.get(need.id, need.renew)
            for preference in (*_preferred(package, need.id), *need.prefer):
                yield from (preference.when, preference.that, preference.least)

    def _asked(self, own: frozenset[str]) -> Iterator[Cause]:
        """What the plans ask of single parts and needs: pinned, wished, refused, brought or declined."""
        old, new = self.old.job.plan, self.new.job.plan
        was, now = ({line.part for line in _lines(each, own)} for each in (self.old, self.new))
        asked = {
            "pins": (set(old.pins) & was, set(new.pins) & now),
            "wishes": (set(old.wishes) & was, set(new.wishes) & now),
            "refusals": (set(old.refused_parts) & now, set(new.refused_parts) & was),
            "own_parts": tuple(
                {o.description for o in plan.own_parts if o.need in own} for plan in (old, new)
            ),
            "declined": tuple(own.intersection(plan.declined) for plan in (old, new)),
        }
        for name, (before, after) in asked.items():
            yield from (Cause("plan", name, "", each, "") for each in sorted(before - after))
            yield from (Cause("plan", name, "", "", each) for each in sorted(after - before))

    def _day(self, own: frozenset[str]) -> Iterator[Cause]:
        """Whether a part of one kit would come too late for the other."""
        was, now = _days(self.old), _days(self.new)
        late = [line.lead_days for line in _lines(self.old, own) if now is not None and line.lead_days > now]
        late += [line.lead_days for line in _lines(self.new, own) if was is not None and line.lead_days > was]
        if late:
            yield Cause("day", "", "", *("" if days is None else str(days) for days in (was, now)))

    def _package(self, need: str) -> Iterator[Cause]:
        was, now = self.packages
        if _terms(was, need) != _terms(now, need):
            yield Cause("package", "", "", *(each.id if _terms(each, need) else "" for each in (was, now)))


def _place(cause: Cause) -> tuple[int, str, str, list[str]]:
    """Where a cause stands among others, in both directions alike."""
    return KINDS.index(cause.kind), cause.name, cause.member, sorted((cause.old, cause.new))


def _lines(result: KitResult, needs: frozenset[str]) -> list[Line]:
    """The lines of a kit that fill some of these needs."""
    return [line for line in result.kit.lines if any(filled.need in needs for filled in line.needs)]


def _days(result: KitResult) -> int | None:
    """Working days within which all must be here; None where the plan names no day."""
    by = result.job.plan.need_by
    return None if by is None else working_days(result.job.date, by)


def _shown(resolution: Resolution, read: Read) -> str:
    """What a condition reads, as a person reads it; empty where there is nothing to be read."""
    values, views = resolution.values, resolution.views
    if read.root in values.knowledge.named:
        try:
            return show(values.named(read.root, views))
        except Unknown:
            return ""
    holder = values.fixed.get(read.root, views.get(read.root, {}))
    value = holder.get(read.member) if isinstance(holder, Mapping) and read.member else None
    return "" if value is None else show(value)


def _preferred(package: Package, need: str) -> list[Preference]:
    return [preference for named, preference in package.prefer if named == need]


def _terms(package: Package, need: str) -> tuple[str, ...]:
    """What a package says of a need in place of the house."""
    renew = [package.renew[need].text] if need in package.renew else []
    return (*renew, *(preference.id for preference in _preferred(package, need)))


def stated_reasons(kit: Kit) -> dict[str, str]:
    """The words in which a kit says of each need why it is met as it is."""
    found: dict[str, list[str]] = {}
    for links in (*(line.why for line in kit.lines), *(kept.why for kept in kit.kept)):
        need = ""
        for link in links:
            need = link.id if link.kind == "need" else need
            if link.kind == "rule":
                found.setdefault(need, []).append(link.text)
    return {need: "; ".join(dict.fromkeys(texts)) for need, texts in found.items()}


def followed(resolution: Resolution) -> dict[str, dict[str, str]]:
    """The house's preferences that decide what is new for each need, by their ids, with their reasons."""
    problem, views = resolution.problem, resolution.views
    found: dict[str, dict[str, str]] = {}
    for root, preference in ordered_preferences(problem.request):
        applies = views[root]["state"] in RENEWED and problem.values.maybe(preference.when, views) is True
        if applies and (preference.that is None or problem.values.maybe(preference.that, views) is True):
            found.setdefault(problem.slots[root].need.id, {})[preference.id] = preference.why
    return found
