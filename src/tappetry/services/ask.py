"""What to ask about a job next: what each answer changes, what may be ordered now, what waits for what."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cached_property

from tappetry.assembly.values import Values
from tappetry.identification.choices import Choice, joined
from tappetry.identification.possibilities import SUPPOSED, answer_grade
from tappetry.identification.resolve import Identification, weigh
from tappetry.kitting import gates
from tappetry.kitting.asking import measure
from tappetry.kitting.asking.case import Case, Identity
from tappetry.kitting.asking.influence import Influence
from tappetry.kitting.asking.measure import Worth
from tappetry.kitting.refusals import check_plan
from tappetry.records.evidence import Fact, Grade, Value
from tappetry.records.family import AttributeSchema
from tappetry.records.job import Job
from tappetry.records.problems import Refusal
from tappetry.services.ask_cases import MOST_KITS, MOST_WAYS, Cases, Trying
from tappetry.services.ask_records import (
    DOUBTFUL,
    OPEN,
    UNKNOWN,
    Answer,
    Asked,
    Piece,
    Question,
    Sums,
    Waiting,
)
from tappetry.services.kits import identify_job, kit_for_job, stop_at
from tappetry.services.shop import Shop


def ask(shop: Shop, job: Job, most_kits: int = MOST_KITS, most_ways: int = MOST_WAYS) -> Asked:
    """What to ask about a job next.

    Parameters
    ----------
    most_kits : int
        How many kits are solved at most; what is beyond is told, and nothing is said to be settled by it.
    most_ways : int
        How many ways in which the engine may be are looked at at most.

    Raises
    ------
    Refusal
        The plan is refused whatever the answers are.
    """
    identification = identify_job(shop, job)
    if not identification.engine_as_found.family:
        return _before_the_family(shop, job, identification)
    trying = Trying(shop, job, identification, most_kits, most_ways)
    check_plan(trying.base)
    values = Values(shop.knowledge, trying.base.fixed, trying.base.memory)
    notes = gates.legal_notes(shop.knowledge, values, job.place)
    stop_at([gates.legal_finding(notes, job.place, job.signatures)], job, values)
    cases = trying.run()
    if all(case.outcome is not None and case.outcome.refused for case in cases.cases):
        _refuse(shop, job, trying, cases)
    return _Answering(trying, cases).asked()


def _refuse(shop: Shop, job: Job, trying: Trying, cases: Cases) -> None:
    """Refuse a plan that no answer mends, with the grounds in the first of its cases."""
    first = cases.ways.ways[0].taken.values()
    try:
        kit_for_job(shop, replace(job, facts=(*trying.firm, *first)))
    except Refusal as refusal:
        if len(cases.cases) == 1:
            raise
        raise Refusal(
            f"{refusal.message} No answer mends that; these are the grounds in the first of "
            f"{len(cases.cases)} cases.",
            refusal.grounds,
            refusal.ways_out[len(refusal.tried) :],
            refusal.arithmetic,
            refusal.tried,
        ) from None


def _before_the_family(shop: Shop, job: Job, identification: Identification) -> Asked:
    """Without a family no kit can be tried: the one question is that of the identification."""
    question = identification.next_question
    asked = []
    if question is not None:
        schema = shop.knowledge.attributes[question.attribute]
        asked.append(_question(schema, OPEN, Worth(), job, hangs_on_it=question.hangs_on_it))
    return Asked(
        job=job.id,
        questions=tuple(asked),
        knowledge_version=shop.knowledge.version,
        catalogue_version=shop.catalogue.version,
    )


def _question(
    schema: AttributeSchema,
    kind: str,
    worth: Worth,
    job: Job,
    known: Fact | None = None,
    waiting: tuple[Identity, ...] = (),
    hangs_on_it: tuple[str, ...] = (),
    answers: tuple[Answer, ...] = (),
) -> Question:
    return Question(
        attribute=schema.id,
        title=schema.title,
        kind=kind,
        question=schema.ask or f"What is {schema.name_in_conditions}?",
        see=schema.see,
        photo=schema.photo,
        tool=schema.tool,
        grade=answer_grade(schema),
        known=known,
        said_unknown=schema.id in job.unknown,
        worth=worth,
        waiting=waiting,
        hangs_on_it=hangs_on_it,
        answers=answers,
    )


class _Answering:
    """Says what the cases of a job come to."""

    def __init__(self, trying: Trying, found: Cases) -> None:
        self.trying = trying
        self.job = trying.job
        self.knowledge = trying.knowledge
        self.found = found
        self.cases = list(found.cases)
        self.tried = found.ways.tried
        self.telling = measure.Telling(self.cases, self.tried)
        self.parts = measure.parts_of(self.cases)
        self.untried = (*found.ways.listless, *found.ways.at_odds, *found.ways.left_out)
        self._grades: dict[measure.Answers, Mapping[str, Grade]] = {}

    def asked(self) -> Asked:
        """The whole answer."""
        cases = self.cases
        questions = sorted(self._with_photos(list(self._questions())), key=self._rank)
        waiting = tuple(self._waiting())
        safe = [
            part for part in self.parts if part not in {(w.piece.supplier, w.piece.part) for w in waiting}
        ]
        unsolved = [case for case in cases if case.outcome is None]
        return Asked(
            job=self.job.id,
            questions=tuple(questions),
            settled=tuple(self._settled({each.attribute for each in questions})),
            order_now=tuple(self._piece(part, cases[0].units(part) or 0) for part in safe),
            waiting=waiting,
            open=tuple(measure.open_in(cases)),
            sums=_sums(cases),
            refused=self._refused(cases),
            unsettled=measure.unsettled(cases, self.parts, self._known(())),
            cases=len(cases),
            solved=self.found.solved,
            exhausted=self.found.exhausted,
            untried=measure.share_of(unsolved),
            left_out=self.found.ways.left_out,
            at_odds=self.found.ways.at_odds,
            listless=self.found.ways.listless,
            weighed=tuple(name for name in self.tried if self.knowledge.attributes[name].shares),
            knowledge_version=self.knowledge.version,
            catalogue_version=self.trying.shop.catalogue.version,
        )

    # ---- what waits for what ---------------------------------------------------------------------------

    @cached_property
    def blocked(self) -> dict[Identity, tuple[str, ...]]:
        """Parts for needs that an attribute of which no value was tried may reach."""
        values = Values(self.trying.here, self.trying.base.fixed)
        influence = Influence(values, self.trying.here, self.trying.base.package)
        found: dict[Identity, tuple[str, ...]] = {}
        for name in self.untried:
            reached = influence.of([self.knowledge.attributes[name].name_in_conditions])
            for part in self.parts:
                if reached.intersection(self._needs(part)):
                    found[part] = (*found.get(part, ()), name)
        return found

    @cached_property
    def answers(self) -> dict[Identity, tuple[str, ...]]:
        """The attributes that each part waits to be known."""
        return {part: (*self.telling.waits_for(part), *self.blocked.get(part, ())) for part in self.parts}

    @cached_property
    def lacking(self) -> dict[Identity, dict[str, Grade]]:
        """The attributes that must be known better, for each part."""
        return {part: measure.doubts(self.cases, part, self._known(())) for part in self.parts}

    def _waiting(self) -> Iterator[Waiting]:
        """Each part that may not be ordered yet."""
        for part in self.parts:
            answers, lacking = self.answers[part], self.lacking[part]
            evidence = {name: least for name, least in lacking.items() if name not in answers}
            if answers or evidence or not measure.is_decided(self.cases, part):
                units = self._units(part)
                yield Waiting(self._piece(part, max(units)), tuple(sorted(units.items())), answers, evidence)

    def _units(self, part: Identity) -> dict[int, Fraction]:
        """The share of the cases that buy each number of units."""
        units: dict[int, Fraction] = {}
        for case in self.cases:
            count = case.units(part)
            if count is not None:
                units[count] = units.get(count, Fraction(0)) + case.share
        return units

    def _needs(self, part: Identity) -> tuple[str, ...]:
        """What a part fills, in any case."""
        lines = [case.outcome.lines for case in self.cases if case.outcome is not None]
        return tuple(dict.fromkeys(need for each in lines if part in each for need in each[part].needs))

    def _piece(self, part: Identity, units: int) -> Piece:
        listed = self.trying.shop.catalogue.find(*part)
        assert listed is not None
        return Piece(*part, listed.description, units, self._needs(part))

    # ---- questions -------------------------------------------------------------------------------------

    def _questions(self) -> Iterator[Question]:
        """Every question that is worth asking."""
        unknown = [name for name in self.tried if self.telling.matters(name)]
        for name in unknown:
            yield self._about(name, UNKNOWN, tuple(self._answers(name)))
        for name in self._doubtful(unknown):
            about = self._about(name, DOUBTFUL, ())
            if about.waiting or about.worth.lines:
                yield about
        for name in self.untried:
            if name in self.found.told or any(name in names for names in self.blocked.values()):
                yield self._about(name, OPEN, ())
        for name, told in self.found.told.items():
            if name not in self.knowledge.attributes:  # the plan or a part says too little
                unlisted = AttributeSchema(name, name, "text", see=told.see, ask=told.question)
                yield _question(unlisted, OPEN, Worth(), self.job, hangs_on_it=told.hangs_on_it)

    def _about(self, name: str, kind: str, answers: tuple[Answer, ...]) -> Question:
        told = self.found.told.get(name)
        hanging = told.hangs_on_it if told is not None else ()
        waiting = tuple(part for part in self.parts if name in {*self.answers[part], *self.lacking[part]})
        if kind == OPEN:
            alone = [part for part in waiting if self.blocked.get(part) == (name,)]
            lines = len(alone) + len(set(hanging).intersection(measure.open_in(self.cases)))
            worth = Worth(Fraction(lines))
        else:
            worth = self._worth([name])
        schema = self.knowledge.attributes[name]
        known = self.trying.now.get(name)
        return _question(schema, kind, worth, self.job, known, waiting, hanging, answers)

    def _doubtful(self, unknown: Iterable[str]) -> Iterator[str]:
        """Facts that are known, but less well than some purchase demands; those that decide them too."""
        known = self._known(())
        lacking = {name for names in self.lacking.values() for name in names} - set(unknown)
        family = self.trying.family
        for table in family.tables:
            if any(lacking.intersection(row) for row in table.rows.values()):
                lacking |= {key for key in table.by if key in known and self.trying.is_below(key)}
        for name in self.knowledge.attributes:
            if name in lacking and name not in unknown:
                yield name

    def _worth(self, names: Sequence[str]) -> Worth:
        return measure.worth(self.cases, names, self.parts, self._known)

    def _known(self, answers: measure.Answers) -> Mapping[str, Grade]:
        """How well each fact is known, now or after some answers."""
        if answers not in self._grades:
            names = {name for name, _ in answers}
            facts = [each for each in self.job.facts if each.attribute not in names]
            for name, value in answers:
                grade = answer_grade(self.knowledge.attributes[name])
                facts.append(self.trying.world.fact(name, value, grade, SUPPOSED))
            found = weigh(facts, self.trying.world).found
            self._grades[answers] = {name: fact.grade for name, fact in found.items()}
        return self._grades[answers]

    def _with_photos(self, questions: Sequence[Question]) -> Iterator[Question]:
        """The questions, each with the others that its photo answers."""
        for each in questions:
            others = [o.attribute for o in questions if o is not each and o.photo == each.photo != ""]
            known = [name for name in (each.attribute, *others) if name not in self.untried]
            together = self._worth(known) if others else each.worth
            yield replace(each, also_shown=tuple(others), photo_worth=together)

    def _rank(self, question: Question) -> tuple[Fraction | int, ...]:
        """What settles most lines comes first, then most money, then most days.

        Among equals, what settles most together with the other questions that one photo answers, then what
        most parts wait for.
        """
        worth = question.worth
        listed = list(self.knowledge.attributes)
        place = listed.index(question.attribute) if question.attribute in listed else len(listed)
        return (
            -worth.lines,
            -worth.money,
            -worth.days,
            -question.photo_worth.lines,
            -len(question.waiting),
            place,
        )

    # ---- answers ---------------------------------------------------------------------------------------

    def _answers(self, name: str) -> Iterator[Answer]:
        """Every possible answer with what it changes; those between which nothing differs are one."""
        alike: dict[frozenset[object], list[tuple[Value, list[Case]]]] = {}
        for answer, those in measure.split(self.cases, [name]).items():
            for _, value in answer:
                alike.setdefault(frozenset(case.effect for case in those), []).append((value, those))
        whole = measure.share_of(self.cases)
        for group in alike.values():
            those = [case for _, cases in group for case in cases]
            within = set(map(id, those))
            others = [case for case in self.cases if id(case) not in within]
            values = tuple(value for value, _ in group)
            share = measure.share_of(those)
            refused = [case.outcome for case in those if case.outcome is not None and case.outcome.refused]
            yield Answer(
                words=self._words(name, values),
                values=values,
                share=share / whole,
                refused=self._refused(those) / share if share else Fraction(0),
                reasons=tuple(dict.fromkeys(outcome.refused for outcome in refused)),
                sums=_sums(those),
                certain=tuple(self._certain(those, others)),
                gone=tuple(self._gone(those, others)),
                checks=_checks(those, others),
            )

    def _refused(self, cases: Iterable[Case]) -> Fraction:
        return measure.share_of(case for case in cases if case.outcome is not None and case.outcome.refused)

    def _words(self, name: str, values: Iterable[Value]) -> str:
        known = self.found.ways.choices
        unsaid = self.trying.world
        return joined(
            self.knowledge.attributes[name],
            [
                known.get((name, value)) or Choice(value, unsaid.fact(name, value, Grade.assumed, "").show())
                for value in values
            ],
        )

    def _certain(self, those: Sequence[Case], others: Sequence[Case]) -> Iterator[Piece]:
        for part in self.parts:
            units = those[0].units(part)
            if units and measure.is_decided(those, part) and any(c.units(part) != units for c in others):
                yield self._piece(part, units)

    def _gone(self, those: Sequence[Case], others: Sequence[Case]) -> Iterator[Piece]:
        for part in self.parts:
            most = max((case.units(part) or 0 for case in others), default=0)
            if most and all(case.units(part) == 0 for case in those):
                yield self._piece(part, most)

    def _settled(self, asked: Iterable[str]) -> Iterator[str]:
        """Facts that nobody knows, that some condition reads, and that no longer matter."""
        names = {*self.trying.read, *self.tried, *self.job.unknown}
        for schema in self.knowledge.attributes.values():
            missing = schema.id not in self.trying.now and schema.about != "finding"
            if missing and schema.id in names and schema.id not in {*asked, *self.untried}:
                yield schema.id


def _sums(cases: Sequence[Case]) -> Sums:
    total, landed, hours, days = (measure.range_of(cases, n) for n in ("total", "landed", "hours", "days"))
    return Sums(total, landed, hours, days)


def _checks(those: Sequence[Case], others: Sequence[Case]) -> dict[str, str]:
    """The verdicts that all these cases have, and not all others."""
    kits = [case.outcome.checks for case in those if case.outcome is not None and not case.outcome.refused]
    beside = [case.outcome.checks for case in others if case.outcome is not None and not case.outcome.refused]
    if not kits:
        return {}
    return {
        name: verdict
        for name, verdict in kits[0].items()
        if all(each.get(name) == verdict for each in kits)
        and any(each.get(name) != verdict for each in beside)
    }
