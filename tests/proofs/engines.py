"""Kits of the invented jobs, and what their inputs may be off by."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

from tappetry.assembly.roots import facts_by_name
from tappetry.jobs.reader import read_job
from tappetry.proofs.leaves import Leaf, LeafOf, leaf_of
from tappetry.records.evidence import Fact
from tappetry.services.kits import KitResult, kit_for_job
from tappetry.services.shop import Shop, demo_folder

JOBS = tuple(sorted(file.stem for file in (demo_folder() / "jobs").glob("*.yaml")))


@cache
def shop() -> Shop:
    return Shop(demo_folder())


@cache
def result_of(job: str, *more: Fact) -> KitResult:
    """The kit of a job, with more facts than its file states."""
    stated = read_job(shop().jobs / f"{job}.yaml", shop().knowledge)
    return kit_for_job(shop(), replace(stated, facts=(*stated.facts, *more)))


def leaves_of(result: KitResult) -> LeafOf:
    knowledge = shop().knowledge
    return leaf_of(knowledge, facts_by_name(knowledge.attributes, result.identification.engine_as_found))


def inputs_off(result: KitResult) -> dict[str, Leaf]:
    """Every number of engine and parts that has a spread."""
    known = leaves_of(result)
    values, views = result.resolution.values, result.resolution.views
    found = {}
    for root in (*values.fixed, *views):
        view = values.fixed.get(root, views.get(root, {}))
        for member, value in view.items() if isinstance(view, Mapping) else ():
            leaf = known(f"{root}.{member}", value) if isinstance(value, float) else None
            if leaf is not None and leaf.may_be_off and root not in {"stated", "limits", "plan", "job"}:
                found[leaf.name] = leaf
    return found
