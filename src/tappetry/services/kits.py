"""The main job: identify, pass the gates, plan, kit, prove, price."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from tappetry.assembly.roots import facts_by_name, fixed_roots, found_views
from tappetry.assembly.values import Values
from tappetry.identification.resolve import Identification
from tappetry.identification.resolve import resolve as identify
from tappetry.jobs.reader import read_job
from tappetry.kitting import gates
from tappetry.kitting.checker import check_kit
from tappetry.kitting.notes import notes as notes_of
from tappetry.kitting.refusals import Stopped
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import Resolution, resolve
from tappetry.kitting.unknowns import merged
from tappetry.pricing.policy import read_policy
from tappetry.pricing.totals import price
from tappetry.records.engine import EngineAsFound
from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.records.problems import Ground, OurFault, Refusal
from tappetry.records.verdict import Finding, Verdict
from tappetry.services.budget import within_budget
from tappetry.services.numbers import as_sold, number_findings
from tappetry.services.shop import Shop
from tappetry.services.stops import own_parts_suffice, stop_at_proofs
from tappetry.services.ways_out import Trial, with_ways_out


@dataclass(frozen=True, slots=True)
class KitResult:
    """A job with its engine and its kit, and with what the kit was chosen from."""

    job: Job
    identification: Identification
    kit: Kit
    resolution: Resolution


def identify_job(shop: Shop, job: Job) -> Identification:
    """Which engine it is, from all that is stated about it."""
    knowledge = shop.knowledge
    return identify(job.facts, knowledge.families, knowledge.attributes, job.unknown)


def kit_for_file(shop: Shop, file: Path) -> KitResult:
    """The kit of a job file."""
    return kit_for_job(shop, read_job(file, shop.knowledge))


def kit_for_job(shop: Shop, job: Job) -> KitResult:
    """The kit of a job: complete, proved, checked and priced.

    Raises
    ------
    Refusal
        A gate stops the plan, no kit meets the request, or it costs more than the budget: with the ways
        out that were each tried.
    OurFault
        The kit did not pass the independent checker.
    """
    identification = identify_job(shop, job)
    try:
        return kit_for_engine(shop, job, identification)
    except Refusal as refusal:
        trial = Trial(
            lambda other: request_of(shop, other, identification),
            lambda other: kit_for_engine(shop, other, identification, why=False, hurried=True).kit,
        )
        raise with_ways_out(refusal, job, trial) from None


def kit_for_engine(
    shop: Shop, job: Job, identification: Identification, why: bool = True, hurried: bool = False
) -> KitResult:
    """The kit of a job whose engine is identified already, as when several plans are tried for it.

    A refusal takes longer where somebody asks ``why``. In a hurry the kit is a good one, and says so, where
    it would take long to prove that it is the best.
    """
    must_be_known(identification, job)
    request = replace(request_of(shop, job, identification), hurried=hurried)
    values = Values(shop.knowledge, request.fixed, request.memory)
    notes = gates.legal_notes(shop.knowledge, values, job.place)
    findings = [
        *identification.findings,
        *number_findings(shop.catalogue, job.plan),
        gates.legal_finding(notes, job.place, job.signatures),
        *gates.gate_findings(values, {}, job.signatures, before=True),
    ]
    stop_at(findings, job, values)
    resolution = resolve(request, facts_by_name(shop.knowledge.attributes, request.engine), why)
    findings += gates.gate_findings(values, resolution.views, job.signatures, before=False)
    stop_at(findings, job, values)
    stop_at_proofs(resolution.kit, job)
    own_parts_suffice(resolution.kit, job, shop.knowledge)
    kit = replace(
        resolution.kit,
        findings=tuple(findings),
        unknowns=tuple(merged([*resolution.kit.unknowns, *gates.gate_unknowns(values, findings)])),
        legal_note=gates.legal_text(notes),
        cautions=gates.cautions(shop.knowledge, values, resolution.views),
        notes=tuple(notes_of(values, resolution.views)),
    )
    kit = price(kit, read_policy(shop.knowledge.book.money))
    within_budget(kit, job)
    checked(shop, request, kit)
    return KitResult(job, identification, kit, resolution)


def must_be_known(identification: Identification, job: Job) -> None:
    """Refuse while not even the engine family is known; the next question says how to find out."""
    if identification.engine_as_found.family:
        return
    question = identification.next_question
    ask = [f"{question.question} ({question.see})"] if question is not None else []
    raise Refusal(
        f"Job {job.id}: the engine family is not known.",
        [
            Ground(f"{fact.attribute} {fact.show()}", f"{fact.grade.name}: {fact.source}")
            for fact in job.facts
        ],
        ask,
    )


def request_of(shop: Shop, job: Job, identification: Identification) -> Request:
    """The question to the kit solver."""
    knowledge = shop.knowledge
    engine: EngineAsFound = identification.engine_as_found
    package = knowledge.book.packages[job.plan.package or knowledge.book.default_package]
    family = knowledge.families[engine.family]
    return Request(
        knowledge=knowledge,
        catalogue=shop.catalogue,
        engine=engine,
        plan=as_sold(shop.catalogue, job.plan),
        package=package,
        fixed=fixed_roots(knowledge, engine, job),
        found=found_views(family.fitted, engine, knowledge.tables),
        today=job.date,
        job=job.id,
        memory=shop.memory,
    )


def stop_at(findings: list[Finding], job: Job, values: Values) -> None:
    """Refuse when a gate says STOP."""
    stops = [finding for finding in findings if finding.verdict is Verdict.STOP]
    if stops:
        stopped = {stop.id for stop in stops}
        read = [gates.plan_read(values, gate) for gate in values.knowledge.gates if gate.id in stopped]
        raise Stopped(
            f"Job {job.id} cannot be quoted.",
            [Ground(stop.text, f"gate {stop.id}", stop.source) for stop in stops],
            [stop.advice for stop in stops if stop.advice],
            frozenset[str]().union(*read),
        )


def checked(shop: Shop, request: Request, kit: Kit) -> None:
    """Let the independent checker pass the kit before anybody sees it."""
    complaints = check_kit(kit, request.fixed, request.plan, shop.knowledge, shop.catalogue, request.today)
    if complaints:
        raise OurFault(
            "the kit did not pass the independent checker: "
            + "; ".join(complaint.text for complaint in complaints),
            {"job": kit.job, "lines": [f"{line.quantity} x {line.part}" for line in kit.lines]},
        )


def must_be_complete(shop: Shop, result: KitResult) -> None:
    """Refuse a paper while a need, a rule or the hours are open, or the owner's written reason is missing.

    Raises
    ------
    Refusal
        With each open need, rule and operation, what to find out, and each check that the owner has to sign.
    """
    kit = result.kit
    open_needs = [kept for kept in kit.kept if kept.state == "open"]
    unsigned = {f.id: f.text for f in kit.findings if f.verdict is Verdict.SIGN and not f.signed}
    unsigned |= {p.id: p.title for p in kit.proofs if p.verdict is Verdict.SIGN and not p.signed}
    hanging = dict.fromkeys(name for unknown in kit.unknowns for name in unknown.hangs_on_it)
    operations = [shop.knowledge.operations[name] for name in hanging if name in shop.knowledge.operations]
    known = shop.knowledge.all_rules()
    rules = [known[name] for name in hanging if name in known]
    if not open_needs and not unsigned and not operations and not rules:
        return
    grounds = [Ground(kept.text, f"need {kept.need}") for kept in open_needs]
    grounds += [
        Ground(
            f"{operation.what}, {operation.hours} h: not known whether it is done",
            f"operation {operation.code}",
        )
        for operation in operations
    ]
    grounds += [
        Ground(f"{rule.why}: not known whether that holds", f"rule {rule.id}", rule.source) for rule in rules
    ]
    for name, text in unsigned.items():
        grounds.append(Ground(f"{text}: needs the owner's written reason", f"check {name}"))
    ways = [f"{unknown.question} ({unknown.see})" for unknown in kit.unknowns]
    ways += [f"signatures: {{{name}: the owner's reason}} in the job" for name in unsigned]
    raise Refusal(f"Job {kit.job} is not complete enough for a quote or an order.", grounds, ways)
