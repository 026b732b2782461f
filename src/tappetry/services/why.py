"""Why not another part: the runners-up of one need or of a whole kit, each solved, proved and priced."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from decimal import Decimal

from tappetry.assembly.roots import facts_by_name
from tappetry.assembly.sentences import show
from tappetry.kitting import gates
from tappetry.kitting.candidates import Candidate, candidates
from tappetry.kitting.kit import KitBuilder
from tappetry.kitting.options import Option
from tappetry.kitting.reasons import Reasons
from tappetry.kitting.resolve import preferences_by_need
from tappetry.kitting.runners_up import Forced, force, why_none
from tappetry.kitting.settled import Settled, settle
from tappetry.pricing.policy import read_policy
from tappetry.pricing.totals import price
from tappetry.pricing.validity import Comparison, compare
from tappetry.records.kit import Because, Kit, Line
from tappetry.records.problems import Ground, OurFault
from tappetry.records.verdict import Verdict
from tappetry.records.why_not import Cost, Moved, RunnerUp, WhyNot
from tappetry.services.kits import KitResult, request_of
from tappetry.services.shop import Shop

#: How many runners-up of a place are shown, and how many parts are tried to find them.
MOST_SHOWN = 3
MOST_TRIED = 8
#: Verdicts from the best to the worst.
VERDICTS = (Verdict.PASS, Verdict.NOTE, Verdict.WARN, Verdict.UNKNOWN, Verdict.SIGN, Verdict.STOP)


def why_not(shop: Shop, result: KitResult, needs: Iterable[str] = ()) -> tuple[WhyNot, ...]:
    """The places of some needs with their runners-up; where none is named, of all that the kit answers.

    Raises
    ------
    OurFault
        The job's kit cannot be found again.
    """
    settled = settle(request_of(shop, result.job, result.identification))
    if settled is None:
        raise OurFault("a job that has a kit was found to have none", {"job": result.job.id})
    asked = _Asked(shop, result, settled)
    roots = asked.roots_of(needs) if needs else asked.roots()
    listed = frozenset(settled.problem.slots[root].need.id for root in roots)
    return tuple(asked.place(root, listed) for root in roots)


class _Asked:
    """A kit, and the request behind it."""

    def __init__(self, shop: Shop, result: KitResult, settled: Settled) -> None:
        self.shop = shop
        self.result = result
        self.settled = settled
        self.kit = result.kit
        self.money = read_policy(shop.knowledge.book.money)
        self.facts = facts_by_name(shop.knowledge.attributes, settled.request.engine)
        self.preferences = preferences_by_need(settled.request)
        self.views = settled.problem.views(settled.solution.chosen)
        self.reasons = Reasons(settled.problem, self.views, self.facts)
        rules, proofs = shop.knowledge.all_rules(), shop.knowledge.proofs
        self.whys = {name: rule.why for name, rule in rules.items()}
        self.whys |= {name: proof.why for name, proof in proofs.items()}
        self.said = {name: [e for e in (rule.when, rule.that) if e] for name, rule in rules.items()}

    # ---- places ------------------------------------------------------------------------------------

    def roots(self) -> list[str]:
        """The slots that the kit answers, in its own order, then what might be bought beyond."""
        places = {(state.need.id, state.slot.id): root for root, state in self.settled.problem.slots.items()}
        lines = [(filled.need, filled.slot) for line in self.kit.lines for filled in line.needs]
        kept = [(kept.need, kept.slot) for kept in self.kit.kept]
        offered = [
            place
            for place, root in places.items()
            if self.settled.problem.slots[root].need.importance != "must" and self._is_there(root)
        ]
        return [places[place] for place in dict.fromkeys((*lines, *kept, *offered))]

    def roots_of(self, needs: Iterable[str]) -> list[str]:
        """The slots of some needs; of a need with several those that are there, if any is."""
        found = []
        for need in needs:
            roots = [root for root, state in self.settled.problem.slots.items() if state.need.id == need]
            found += [root for root in roots if self._is_there(root)] or roots[:1]
        return found

    def _is_there(self, root: str) -> bool:
        """Whether this engine and plan have the need at all."""
        state, values = self.settled.problem.slots[root], self.settled.problem.values
        return all(values.maybe(when, self.views) is not False for when in (state.need.when, state.slot.when))

    def place(self, root: str, listed: frozenset[str]) -> WhyNot:
        """What stands in a slot, why, and its runners-up; a box is told of with the first of its needs."""
        state, option = self.settled.problem.slots[root], self.settled.solution.chosen[root]
        lines = self._lines(root)
        runners_up, more = self._runners_up(root, option, listed)
        return WhyNot(
            need=state.need.id,
            slot=state.slot.id,
            title=state.need.title,
            state="customer's own" if option.state == "own" else option.state,
            chosen="; ".join(line.description for line in lines) or self._text(root, option),
            parts=tuple(line.part for line in lines),
            spent=sum((line.line_total for line in lines), Decimal(0)),
            why=tuple(self._why(root, option)),
            runners_up=runners_up,
            more=more,
        )

    def _lines(self, root: str) -> list[Line]:
        bought = {(part.supplier, part.number) for part in self.settled.bought(root)}
        return [line for line in self.kit.lines if (line.supplier, line.part) in bought]

    def _text(self, root: str, option: Option) -> str:
        """Why nothing is bought for a slot."""
        need = self.settled.problem.slots[root].need
        for kept in self.kit.kept:
            if (kept.need, kept.slot) == (need.id, self.settled.problem.slots[root].slot.id):
                return kept.text
        return need.otherwise_why if self._is_there(root) else "this engine and plan have no such need"

    def _why(self, root: str, option: Option) -> Iterator[Because]:
        state = self.settled.problem.slots[root]
        if option.state != "open":
            preferences = self.preferences.get(state.need.id, ())
            yield from self.reasons.for_slot(state.slot, state.need, option, preferences)

    # ---- runners-up --------------------------------------------------------------------------------

    def _runners_up(
        self, root: str, option: Option, listed: frozenset[str]
    ) -> tuple[tuple[RunnerUp, ...], int]:
        """The first runners-up of a slot, those that fare the same together, and how many were not tried."""
        if option.state == "open" or not self._is_there(root):
            return (), 0
        elsewhere = listed - {self.settled.problem.slots[root].need.id}
        waiting = [c for c in candidates(self.settled, root) if c.part.fills[0].need not in elsewhere]
        shown: list[RunnerUp] = []
        for tried, candidate in enumerate(waiting[:MOST_TRIED]):
            if len(shown) == MOST_SHOWN:
                return tuple(shown), sum(1 + len(each.alike) for each in waiting[tried:])
            forced = force(self.settled, candidate)
            if forced is not None:
                _add(shown, self._outcome(forced))
        return tuple(shown), sum(1 + len(each.alike) for each in waiting[MOST_TRIED:])

    def _outcome(self, forced: Forced) -> RunnerUp:
        """What a candidate costs or breaks."""
        runner_up = self._named(forced.candidate)
        if forced.solution is None:
            core = why_none(self.settled, forced)
            return self._broken(runner_up, core.grounds, core.arithmetic)
        kit = self._kit(forced)
        grounds, arithmetic = self._stopped(forced, kit)
        if grounds:
            return self._broken(runner_up, grounds, arithmetic)
        taken_out = {part.number for part in self.settled.bought(forced.candidate.root)}
        cost = _cost(self.kit, kit, {forced.candidate.part.number, *taken_out})
        return replace(runner_up, cost=cost, behind=forced.behind)

    def _named(self, candidate: Candidate) -> RunnerUp:
        state, part = self.settled.problem.slots[candidate.root], candidate.part
        return RunnerUp(
            need=state.need.id,
            slot=state.slot.id,
            part=part.number,
            supplier=part.supplier,
            description=part.description,
            alone=candidate.alone,
            alike=candidate.alike,
            asked=candidate.asked,
            same=candidate.same,
            misfit=candidate.stage == "misfit",
        )

    def _broken(self, runner_up: RunnerUp, grounds: Iterable[Ground], arithmetic: str) -> RunnerUp:
        """A runner-up that no kit holds; that it is asked for goes without saying."""
        asked = f"the plan pins {runner_up.part}, "
        against = [ground for ground in grounds if not f"{ground.text}, ".startswith(asked)]
        named = [ground for ground in against if ground.text.startswith(f"{runner_up.part}: ")] or against
        names = [ground.owner.removeprefix("rule ") for ground in named]
        whys = [self.whys[name] for name in names if name in self.whys]
        reads = [expression for name in names for expression in self.said.get(name, ())]
        facts = self.settled.problem.values.facts(reads)
        return replace(
            runner_up,
            because=tuple(dict.fromkeys(whys or [ground.text for ground in named])),
            decided=tuple(
                (name.removeprefix("plan."), show(value)) for name, value in facts if "plan." in name
            ),
            grounds=tuple(against),
            arithmetic=arithmetic,
        )

    def _kit(self, forced: Forced) -> Kit:
        """The kit with a candidate in it, proved and priced."""
        assert forced.solution is not None
        builder = KitBuilder(forced.problem, forced.solution, preferences_by_need(forced.request), self.facts)
        return price(builder.build(), self.money)

    def _stopped(self, forced: Forced, kit: Kit) -> tuple[tuple[Ground, ...], str]:
        """What refuses a kit that the rules allow: a gate that reads its parts, or the customer's budget."""
        assert forced.solution is not None
        assert kit.totals is not None
        views = forced.problem.views(forced.solution.chosen)
        signatures = self.result.job.signatures
        stops = tuple(
            Ground(finding.text, f"gate {finding.id}", finding.source)
            for finding in gates.gate_findings(forced.problem.values, views, signatures, before=False)
            if finding.verdict is Verdict.STOP
        )
        budget = self.result.job.plan.budget
        if stops or budget is None or kit.totals.total <= budget:
            return stops, ""
        over = kit.totals.total - budget
        return (
            (Ground(f"the customer's budget is {budget:.2f}", "customer"),),
            f"{kit.totals.total:.2f} - {budget:.2f} = {over:.2f} over the budget",
        )


def _add(shown: list[RunnerUp], found: RunnerUp) -> None:
    """Add a runner-up, or name it with one that falls to the same."""
    for place, other in enumerate(shown):
        if found.grounds and _owners(found) == _owners(other):
            shown[place] = replace(other, alike=(*other.alike, found.part, *found.alike))
            return
    shown.append(found)


def _owners(runner_up: RunnerUp) -> tuple[str, ...]:
    return tuple(ground.owner for ground in runner_up.grounds)


def _cost(kit: Kit, other: Kit, swapped: set[str]) -> Cost:
    """What another kit costs beyond the one that was chosen; ``swapped`` are those of the place itself."""
    difference: Comparison = compare(kit, other)
    assert kit.totals is not None
    assert other.totals is not None
    return Cost(
        landed=other.landed_cost - kit.landed_cost,
        total=difference.difference,
        hours=other.totals.hours - kit.totals.hours,
        days=_days(other) - _days(kit),
        moved=tuple(
            Moved(line.part, line.description, line.old_quantity, line.new_quantity)
            for line in difference.lines
            if line.part not in swapped
        ),
        worse=tuple(_worse(kit, other)),
    )


def _days(kit: Kit) -> int:
    return max((line.lead_days for line in kit.lines), default=0)


def _worse(kit: Kit, other: Kit) -> Iterator[str]:
    """Checks that end less well in another kit."""
    before = {proof.id: proof.verdict for proof in kit.proofs}
    for proof in other.proofs:
        was = before.get(proof.id, Verdict.PASS)
        if VERDICTS.index(proof.verdict) > VERDICTS.index(was):
            yield proof.title
