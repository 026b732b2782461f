"""What the house answers when it is asked what to ask next: questions, answers, what is safe, what waits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from tappetry.kitting.asking.case import Identity
from tappetry.kitting.asking.measure import Range, Worth
from tappetry.records.evidence import Fact, Grade, Value

#: Kinds of questions: nobody knows it; it is known, but not well enough; nobody knows it, and no value of
#: it was tried, so that what waits for it is only named.
UNKNOWN, DOUBTFUL, OPEN = "unknown", "doubtful", "open"


@dataclass(frozen=True, slots=True)
class Piece:
    """A part in some number of units, and the needs that it fills."""

    supplier: str
    part: str
    description: str
    units: int
    needs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sums:
    """The ranges of what a kit comes to over some cases; None where no case has a kit."""

    total: Range | None = None
    landed: Range | None = None
    hours: Range | None = None
    days: Range | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """Some possible answers between which nothing differs, and what they change.

    ``values`` are those that were tried; a number stands for all between two limits, as ``words`` say.
    ``share`` is how likely it counts, ``refused`` the share of it in which no kit is left, and ``reasons``
    say why. ``certain`` are lines that stand in all its cases and not in all others, ``gone`` those that
    stand in none of its cases but in some other; ``checks`` the verdicts that all its cases have and not all
    others.
    """

    words: str
    values: tuple[Value, ...]
    share: Fraction
    refused: Fraction
    reasons: tuple[str, ...]
    sums: Sums
    certain: tuple[Piece, ...]
    gone: tuple[Piece, ...]
    checks: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Question:
    """One question: why it is asked, how to answer it, and what each answer changes.

    ``grade`` is how well it must be known, ``known`` what is known of it now. ``worth`` is what the answer
    settles on average. ``waiting`` are the parts that wait for it, ``hangs_on_it`` what the kit leaves open
    for it. ``also_shown`` are other questions that the same photo answers, and ``photo_worth`` is what all of
    them settle together.
    """

    attribute: str
    title: str
    kind: str
    question: str
    see: str
    photo: str
    tool: str
    grade: Grade
    known: Fact | None
    said_unknown: bool
    worth: Worth
    waiting: tuple[Identity, ...]
    hangs_on_it: tuple[str, ...]
    answers: tuple[Answer, ...]
    also_shown: tuple[str, ...] = ()
    photo_worth: Worth = field(default_factory=Worth)


@dataclass(frozen=True, slots=True)
class Waiting:
    """A part that may not be ordered yet: how many units in which share of the cases, and what it waits for.

    ``for_answers`` are attributes that nobody knows, ``for_evidence`` those to be known better, with the
    grade that the purchase demands.
    """

    piece: Piece
    units: tuple[tuple[int, Fraction], ...]
    for_answers: tuple[str, ...]
    for_evidence: Mapping[str, Grade]


@dataclass(frozen=True, slots=True)
class Asked:
    """The whole answer of the house to: what do we ask next?

    ``settled`` are facts that nobody knows and that no longer matter. ``open`` are needs and operations that
    no answer which was tried settles; ``unsettled`` counts all that is not settled yet.

    ``cases`` is how many ways in which the engine may be were looked at, ``solved`` how many kits were solved
    for them, ``untried`` the share of the cases without a kit of their own. ``left_out``, ``at_odds`` and
    ``listless`` are attributes that were not taken in turn: because that made too many ways, because no
    value fits what is known, because no values can be listed. ``weighed`` are those of which the shop
    states how often each value is met.
    """

    job: str
    knowledge_version: str
    catalogue_version: str
    questions: tuple[Question, ...]
    settled: tuple[str, ...] = ()
    order_now: tuple[Piece, ...] = ()
    waiting: tuple[Waiting, ...] = ()
    open: tuple[str, ...] = ()
    sums: Sums = field(default_factory=Sums)
    refused: Fraction = Fraction(0)
    unsettled: int = 0
    cases: int = 0
    solved: int = 0
    exhausted: bool = True
    untried: Fraction = Fraction(0)
    left_out: tuple[str, ...] = ()
    at_odds: tuple[str, ...] = ()
    listless: tuple[str, ...] = ()
    weighed: tuple[str, ...] = ()

    @property
    def next_question(self) -> Question | None:
        """The question to ask next; None when nothing is left to ask."""
        return self.questions[0] if self.questions else None
