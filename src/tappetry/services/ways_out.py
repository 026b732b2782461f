"""Ways out of a refusal: small changes of the job, each identified, solved, proved, checked and priced."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from tappetry.kitting.conflicts import Change, changes_of, conflict_in, difference
from tappetry.kitting.refusals import Mendable
from tappetry.kitting.request import Request
from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.records.problems import Refusal, WayOut

#: So many changes that help nothing alone are tried together with another.
MOST_FIRST = 4
#: So many pairs are tried at most.
MOST_PAIRS = 12
#: A way out with how much it changes.
Weighed = tuple[int, WayOut]


@dataclass(frozen=True, slots=True)
class Trial:
    """What may be tried: the request of a job as it would be changed, and its kit.

    ``kit_of`` raises a refusal where no kit comes of it, and need not say why.
    """

    request_of: Callable[[Job], Request]
    kit_of: Callable[[Job], Kit]


def with_ways_out(refusal: Refusal, job: Job, trial: Trial) -> Refusal:
    """The same refusal with the ways out that gave a kit, the smallest change first, then the cheapest.

    One change is enough wherever one helps; only where none does are two tried together.
    """
    if not isinstance(refusal, Mendable):
        return refusal
    changes = list(refusal.changes(trial.request_of(job)))
    search = _Search(job, trial)
    found = [way for change in changes if (way := search.way((change,))) is not None]
    found = found or list(search.pairs(changes))
    return Refusal(refusal.message, refusal.grounds, refusal.ways_out, refusal.arithmetic, _ranked(found))


def _ranked(found: Iterable[Weighed]) -> list[WayOut]:
    """Ways by how much they change, then by cost, each with its difference to the first."""
    ways = [way for _, way in sorted(found, key=lambda each: (each[1].changes, each[0], each[1].landed_cost))]
    return [
        replace(way, more=way.total - ways[0].total)
        if way.total is not None and ways[0].total is not None
        else way
        for way in ways
    ]


@dataclass(frozen=True, slots=True)
class _Search:
    """Tries changes of one job."""

    job: Job
    trial: Trial

    def way(self, changes: tuple[Change, ...]) -> Weighed | None:
        """The way out that some changes together are; None where no kit comes of them."""
        changed = self._changed(changes)
        try:
            kit = self.trial.kit_of(changed)
        except Refusal:
            return None
        way = WayOut(
            text=" and ".join(change.text for change in changes),
            change=difference(self.job, changed),
            changes=len(changes),
            landed_cost=kit.landed_cost,
            total=None if kit.totals is None else kit.totals.total,
            proved_optimal=kit.proved_optimal,
        )
        return sum(change.weight for change in changes), way

    def pairs(self, changes: list[Change]) -> Iterator[Weighed]:
        """Two changes: one of these, and one out of what still stands in the way then, or of these again."""
        tried: set[frozenset[str]] = set()
        for first in changes[:MOST_FIRST]:
            request = self.trial.request_of(self._changed((first,)))
            left = conflict_in(request)
            for second in changes if left is None else changes_of(request, left):
                both = frozenset({first.text, second.text})
                if len(both) < 2 or both in tried or len(tried) >= MOST_PAIRS:
                    continue
                tried.add(both)
                way = self.way((first, second))
                if way is not None:
                    yield way

    def _changed(self, changes: Iterable[Change]) -> Job:
        job = self.job
        for change in changes:
            job = change.edit(job)
        return job
