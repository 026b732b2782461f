"""What stops a finished kit: a proof that must hold and does not, and too few of the customer's own parts."""

from __future__ import annotations

from collections.abc import Iterator

from tappetry.assembly.sentences import show
from tappetry.knowledge.model import Knowledge
from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.records.problems import Ground, Refusal
from tappetry.records.verdict import Proof, Verdict


def stop_at_proofs(kit: Kit, job: Job) -> None:
    """Refuse a kit with a proof that nobody may sign away.

    Most such proofs decide which parts are chosen; left are those that hang on the engine alone.

    Raises
    ------
    Refusal
        With value and limit of each, the facts behind it and whose they are, and what would help.
    """
    stops = [proof for proof in kit.proofs if proof.verdict is Verdict.STOP]
    if stops:
        raise Refusal(
            f"Job {job.id} cannot be quoted.",
            [ground for proof in stops for ground in _grounds(proof)],
            [proof.advice for proof in stops if proof.advice],
            "; ".join(_arithmetic(proof) for proof in stops),
        )


def _grounds(proof: Proof) -> Iterator[Ground]:
    """The proof, and every fact about the engine that it rests on."""
    yield Ground(f"{proof.title}: {_arithmetic(proof)}", f"proof {proof.id}", proof.source)
    for read in proof.inputs:
        if read.name.startswith("engine."):
            yield Ground(f"{read.name} = {show(read.value)}", read.provenance)


def _arithmetic(proof: Proof) -> str:
    unit = "" if proof.unit == "1" else f" {proof.unit}"
    if proof.value is None or proof.limit is None:
        return proof.formula
    bound, miss = ("at least", "short") if proof.value < proof.limit else ("at most", "too much")
    return (
        f"{proof.formula} = {show(proof.value)}{unit}, {bound} {show(proof.limit)}{unit}: "
        f"{show(abs(proof.value - proof.limit))}{unit} {miss}"
    )


def own_parts_suffice(kit: Kit, job: Job, knowledge: Knowledge) -> None:
    """Refuse when the customer brings fewer pieces than are wanted.

    Raises
    ------
    Refusal
        With the pieces wanted and brought, for each need.
    """
    wanted: dict[str, int] = {}
    for kept in kit.kept:
        if kept.state == "customer's own":
            wanted[kept.need] = wanted.get(kept.need, 0) + kept.pieces
    brought = {need: [own for own in job.plan.own_parts if own.need == need] for need in wanted}
    grounds, ways = [], []
    for need, own in brought.items():
        pieces = sum(each.pieces for each in own)
        missing = wanted[need] - pieces
        if missing > 0:
            name = " and ".join(each.description for each in own)
            short = f"short by {missing} {'piece' if missing == 1 else 'pieces'}"
            grounds.append(Ground(f"{name}: {wanted[need]} wanted, {pieces} brought: {short}", "customer"))
            ways.append(f"he brings {missing} more, and the job says so under pieces")
            ways.append(f"buy {knowledge.needs[need].title} in place of {name}")
    if grounds:
        raise Refusal(f"What the customer brings to job {job.id} is not enough.", grounds, ways)
