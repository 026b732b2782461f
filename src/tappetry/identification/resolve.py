"""From facts to an engine: as built by its papers, as found by the best evidence, and what to ask next.

The VIN is in charge of law and control unit; the engine that stands there is in charge of parts. Where
the evidence on the engine contradicts what the papers say it is, another engine stands there: then nothing
about parts is taken from the papers any more, and the engine is looked up by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from tappetry.identification import applications as lookup
from tappetry.identification.applications import MODEL_YEAR, ORIGIN, SERIAL, Candidate
from tappetry.identification.evidence import APPLICATION, FAMILY, Attributes, Families, World, expand
from tappetry.identification.question import next_question, unknown_attributes
from tappetry.identification.verdict import Case, Swap, findings_of, verdict_of
from tappetry.identification.vin import VinReading, read_vin
from tappetry.records.engine import EngineAsBuilt, EngineAsFound
from tappetry.records.evidence import Fact, Facts, Grade, settle
from tappetry.records.family import Application, Family
from tappetry.records.kit import Unknown
from tappetry.records.verdict import Finding

VIN = "vin"
#: What the vehicle's papers can tell; everything else is told by what stands there.
PAPERS = frozenset({VIN, APPLICATION, MODEL_YEAR, "vehicle", "build-date", "region"})
#: Origins that say by themselves that the VIN does not describe the engine.
FOREIGN_ORIGINS = frozenset({"used swap", "crate"})

Pairs = Sequence[tuple[Family, Application]]


@dataclass(frozen=True, slots=True)
class Identification:
    """Which engine it is, as far as it is known.

    ``candidates`` are all applications that any evidence speaks for, the best supported first.
    ``unknown`` are attributes of engine and vehicle that nobody has stated and that nothing tells.
    """

    engine_as_built: EngineAsBuilt
    engine_as_found: EngineAsFound
    candidates: tuple[Candidate, ...]
    findings: tuple[Finding, ...]
    verdict: str
    unknown: tuple[str, ...]
    next_question: Unknown | None
    vin: VinReading | None = None


def resolve(
    facts: Iterable[Fact], families: Families, attributes: Attributes, not_to_ask: Iterable[str] = ()
) -> Identification:
    """Identify an engine.

    Parameters
    ----------
    facts : iterable of Fact
        All that was stated, in any order; of equal grades an earlier fact is in charge.
    families, attributes : mapping
        What the shop knows, by id.
    not_to_ask : iterable of str
        Attributes that were said to be unknown; the next question is another one.
    """
    case = weigh(facts, World(families, attributes))
    found, engine, papers = case.found, case.engine, case.papers
    findings = tuple(findings_of(case))
    verdict = verdict_of(case)
    return Identification(
        engine_as_built=EngineAsBuilt(
            _value(case.built, FAMILY),
            _value(case.built, APPLICATION),
            case.built,
            tuple(a.id for _, a in papers),
        ),
        engine_as_found=EngineAsFound(_value(found, FAMILY), engine, found, verdict),
        candidates=lookup.candidates(case.direct, case.vin, case.world),
        findings=findings,
        verdict=verdict,
        unknown=unknown_attributes(found, case.world),
        next_question=next_question(case, frozenset(not_to_ask)),
        vin=case.vin,
    )


def weigh(facts: Iterable[Fact], world: World) -> Case:
    """What the facts make of an engine: as built by its papers, as found by the best evidence."""
    stated = list(facts)
    direct = settle(stated)
    reading = _vin_reading(direct)
    papers = lookup.by_papers(direct, reading, world)
    paper_facts = [fact for fact in stated if fact.attribute in PAPERS]
    built = expand([*paper_facts, *_decoded(papers, reading, direct, world)], world)
    swaps = tuple(_swaps(stated, direct, built, reading, world))
    found, engine = (
        _another_engine(stated, built, world) if swaps else _same_engine(stated, papers, reading, world)
    )
    return Case(world, direct, built, found, engine, reading, papers, swaps)


def _value(facts: Mapping[str, Fact], attribute: str) -> str:
    fact = facts.get(attribute)
    return str(fact.value) if fact else ""


def _vin_reading(direct: Facts) -> VinReading | None:
    fact = direct.get(VIN)
    return read_vin(str(fact.value)) if fact else None


def _decoded(pairs: Pairs, reading: VinReading | None, direct: Facts, world: World) -> Iterator[Fact]:
    """What the papers say of the application, or what all applications that they leave open have alike."""
    if not pairs:
        return
    if reading is not None and reading.ok_form:
        source = f"VIN {reading.vin}"
        years = {year for _, application in pairs for year in lookup.years_of(reading, application)}
        if len(years) == 1:
            yield world.fact(MODEL_YEAR, float(years.pop()), Grade.decoded, source)
    else:
        source = f"engine serial {direct[SERIAL].show()}"
    yield from _alike(pairs, source, world)


def _alike(pairs: Pairs, source: str, world: World, grade: Grade = Grade.decoded) -> Iterator[Fact]:
    """One application as a fact; of several, what they have alike; no better known than what it rests on."""
    if len(pairs) == 1:
        yield world.fact(APPLICATION, pairs[0][1].id, grade, source)
        return
    which = " or ".join(application.id for _, application in pairs)
    for attribute, value in lookup.common(pairs).items():
        yield world.fact(attribute, value, grade, f"{source} fits {which}, which have this alike")


def _swaps(
    stated: Sequence[Fact], direct: Facts, built: Facts, reading: VinReading | None, world: World
) -> Iterator[Swap]:
    """The sign that the engine is not the one that the papers describe, if there is one."""
    if FAMILY not in built:
        return
    assumed = world.fact(FAMILY, built[FAMILY].value, Grade.assumed, "by its papers")
    engine = [fact for fact in stated if world.about(fact.attribute) != "vehicle"]
    evidence = expand([*engine, assumed], world)
    family = world.families[str(built[FAMILY].value)]
    for attribute in (FAMILY, *family.identity):
        fact, by_papers = evidence.get(attribute), built.get(attribute)
        if fact and by_papers and fact.value != by_papers.value and fact.grade >= by_papers.grade:
            yield Swap(by_papers, fact)
            return
    origin = direct.get(ORIGIN)
    if reading and origin and origin.value in FOREIGN_ORIGINS and origin.grade >= Grade.decoded:
        yield Swap(None, origin)


def _same_engine(
    stated: Sequence[Fact], papers: Pairs, reading: VinReading | None, world: World
) -> tuple[Facts, str]:
    """The engine of the papers with all that was stated about it; without papers, by its own evidence."""
    direct = settle(stated)
    if papers or APPLICATION in direct:
        found = expand([*stated, *_decoded(papers, reading, direct, world)], world)
        return found, _value(found, APPLICATION)
    pairs = lookup.by_engine(direct, world)
    grade = lookup.support(direct, pairs, world)
    found = expand([*stated, *_alike(pairs, _evidence_text(direct, world), world, grade)], world)
    return found, _value(found, APPLICATION)


def _another_engine(stated: Sequence[Fact], built: Facts, world: World) -> tuple[Facts, str]:
    """Vehicle by its papers, engine by its own evidence, with the application of that engine if one fits."""
    about_vehicle = [fact for fact in stated if world.about(fact.attribute) == "vehicle"]
    about_engine = [fact for fact in stated if world.about(fact.attribute) != "vehicle"]
    vehicle = expand([*about_vehicle, *_as_decoded(built, world)], world)
    direct = settle(about_engine)
    pairs = lookup.by_engine(direct, world)
    if not pairs and FAMILY not in direct:
        about_engine.append(world.fact(FAMILY, built[FAMILY].value, Grade.assumed, "by the vehicle's papers"))
    grade = lookup.support(direct, pairs, world)
    engine = expand([*about_engine, *_alike(pairs, _evidence_text(direct, world), world, grade)], world)
    merged = {name: fact for name, fact in vehicle.items() if world.about(name) == "vehicle"}
    merged |= {name: fact for name, fact in engine.items() if world.about(name) != "vehicle"}
    disagreements = tuple(
        disagreement
        for facts, of_vehicle in ((vehicle, True), (engine, False))
        for disagreement in facts.disagreements
        if (world.about(disagreement.attribute) == "vehicle") is of_vehicle
    )
    return Facts(merged, disagreements), _value(engine, APPLICATION)


def _as_decoded(built: Facts, world: World) -> list[Fact]:
    """What the papers tell about the vehicle, and only about the vehicle."""
    return [fact for name, fact in built.items() if world.about(name) == "vehicle"]


def _evidence_text(direct: Facts, world: World) -> str:
    """The evidence on the engine, in the order of its names, as the source of what it leads to."""
    evidence = [world.says(direct[name]) for name in sorted(direct) if world.about(name) == "engine"]
    return "the evidence on the engine" + (": " + "; ".join(evidence) if evidence else "")
