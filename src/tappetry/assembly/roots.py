"""The roots that conditions read before any part is chosen: engine, plan, job, limits, what is fitted."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tappetry.knowledge.model import Knowledge
from tappetry.records.engine import EngineAsFound
from tappetry.records.evidence import Fact, Value
from tappetry.records.family import AttributeSchema, Fitted, Tables, with_tables
from tappetry.records.job import Job
from tappetry.records.plan import Plan


def plain(value: Value) -> Any:
    """A fact's value as conditions see it: numbers as doubles, lists as lists."""
    if isinstance(value, bool):
        return value
    if isinstance(value, int | float):
        return float(value)
    if isinstance(value, tuple):
        return list(value)
    return value


def engine_view(attributes: Mapping[str, AttributeSchema], engine: EngineAsFound) -> dict[str, Any]:
    """The engine as conditions see it; what is not known is not there.

    A finding that is a truth is not made yet until somebody makes it, so it reads as no: the line that
    it would open stays closed.
    """
    view: dict[str, Any] = {
        schema.name_in_conditions: False
        for schema in attributes.values()
        if schema.about == "finding" and schema.type == "truth"
    }
    for attribute, fact in engine.facts.items():
        view[attributes[attribute].name_in_conditions] = plain(fact.value)
    return view


def facts_by_name(attributes: Mapping[str, AttributeSchema], engine: EngineAsFound) -> dict[str, Fact]:
    """The facts in charge by the name that conditions use."""
    return {attributes[attribute].name_in_conditions: fact for attribute, fact in engine.facts.items()}


def found_views(
    fitted: Mapping[str, Fitted], engine: EngineAsFound, tables: Tables
) -> dict[str, dict[str, Any]]:
    """The attributes of the part that stands in each need now, as far as the facts tell.

    What a table of the shop knows by one of them is known with it, as of a part that is bought.
    """
    views: dict[str, dict[str, Any]] = {}
    for need, table in fitted.items():
        row = table.row_for(engine.facts)
        if row is not None:
            views[need] = {name: plain(value) for name, value in with_tables(row, tables).items()}
    return views


def plan_view(plan: Plan, engine: Mapping[str, Any]) -> dict[str, Any]:
    """The plan as conditions see it; where no working speed is planned, it is the engine's redline."""
    view: dict[str, Any] = {
        "phaser": plan.phaser,
        "deact": plan.deact,
        "heads": plan.heads,
        "cam": plan.cam,
        "work": list(plan.work),
        "conversion": plan.conversion,
        "use": plan.use,
        "package": plan.package,
    }
    rpm = plan.rpm if plan.rpm is not None else engine.get("redline_rpm")
    if rpm is not None:
        view["rpm"] = float(rpm)
    return view


def fixed_roots(knowledge: Knowledge, engine: EngineAsFound, job: Job) -> dict[str, Any]:
    """Everything that does not depend on the choice of parts.

    ``stated`` holds the facts alone: there a finding that nobody has made is unknown. ``grade`` says how
    well each of them is known.
    """
    family = knowledge.families[engine.family]
    view = engine_view(knowledge.attributes, engine)
    found = found_views(family.fitted, engine, knowledge.tables)
    roots: dict[str, Any] = {
        "engine": view,
        "stated": {
            knowledge.attributes[name].name_in_conditions: plain(f.value) for name, f in engine.facts.items()
        },
        "grade": {
            knowledge.attributes[name].name_in_conditions: f.grade.name for name, f in engine.facts.items()
        },
        "plan": plan_view(job.plan, view),
        "job": {"place": job.place, "road_use": job.road_use, "signed": dict(job.signatures)},
        "limits": dict(knowledge.book.limits),
    }
    for need in knowledge.needs.values():
        roots[f"found_{need.root}"] = found.get(need.id, {})
    return roots
