"""What the identification says in words, and the findings that a person must see."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from tappetry.identification.evidence import APPLICATION, BLOCK_CASTING, FAMILY, TRANSMISSION, World, same
from tappetry.identification.vin import VinReading
from tappetry.records.evidence import Disagreement, Fact, Facts, Grade
from tappetry.records.family import Application, Family, Remark
from tappetry.records.verdict import Finding, Verdict


@dataclass(frozen=True, slots=True)
class Swap:
    """A sign of another engine: what the papers say (None when only its origin tells), and what was found."""

    built: Fact | None
    found: Fact


@dataclass(frozen=True, slots=True)
class Case:
    """All that is known about one engine: as stated, as built, as found, and which application it is."""

    world: World
    direct: Facts
    built: Facts
    found: Facts
    engine: str
    vin: VinReading | None
    papers: Sequence[tuple[Family, Application]]
    swaps: tuple[Swap, ...]

    @property
    def family(self) -> Family | None:
        """The family of the engine found."""
        fact = self.found.get(FAMILY)
        return self.world.families.get(str(fact.value)) if fact else None

    def about_engine_found(self) -> Mapping[str, Fact]:
        """The facts with the application of the engine found in place of the vehicle's."""
        facts = dict(self.found)
        if self.swaps:
            facts.pop(APPLICATION, None)
            if self.engine:
                facts[APPLICATION] = self.world.fact(
                    APPLICATION, self.engine, Grade.decoded, "the evidence on the engine"
                )
        return facts


def verdict_of(case: Case) -> str:
    """The whole verdict in one line."""
    parts = [
        *_identity(case),
        *(swap_text(case, swap) for swap in case.swaps),
        *_transmission(case),
        *(text for text, _ in _differences(case)),
        *_breaks(case),
        *(remark_text(case, remark) for remark in remarks(case)),
    ]
    return "; ".join(dict.fromkeys(parts))


def findings_of(case: Case) -> Iterator[Finding]:
    """Everything about the identification that a person must see."""
    yield from _vin_findings(case)
    for swap in case.swaps:
        yield Finding(
            "vin-vs-engine",
            Verdict.WARN,
            swap_text(case, swap),
            swap.found.source,
            "the VIN stays in charge of law and control unit, the engine found is in charge of parts",
        )
    for text in _transmission(case):
        yield Finding(
            "transmission-swap", Verdict.WARN, text, case.direct[TRANSMISSION].source, "check the calibration"
        )
    for disagreement in case.found.disagreements:
        yield _contradiction(case, disagreement)
    for remark in remarks(case):
        advice = "look at: " + ", ".join(case.world.title(a) for a in remark.ask) if remark.ask else ""
        yield Finding(remark.id, Verdict(remark.verdict), remark_text(case, remark), "family data", advice)


def remarks(case: Case) -> Iterator[Remark]:
    """The remarks of the family that the facts call for."""
    facts = case.about_engine_found()
    for remark in case.family.remarks if case.family else ():
        known = all(name in facts and facts[name].value == value for name, value in remark.when.items())
        if known and not any(name in facts for name in remark.unknown):
            yield remark


def remark_text(case: Case, remark: Remark) -> str:
    """The words of a remark with the facts put in."""
    facts = case.about_engine_found()
    return re.sub(
        r"{([a-z0-9-]+)}", lambda name: facts[name[1]].show() if name[1] in facts else "?", remark.text
    )


def swap_text(case: Case, swap: Swap) -> str:
    """What the VIN says and what was found."""
    title = case.world.title(swap.found.attribute)
    if swap.built is None:
        return f"engine swap: {title} is {swap.found.show()}"
    says = "VIN says" if case.vin and case.vin.ok_form else "papers say"
    return f"engine swap: {says} {title} {swap.built.show()}, found {swap.found.show()}"


def _identity(case: Case) -> Iterator[str]:
    """Whether there is a VIN, and whether what was found agrees with it."""
    if case.vin is None or not case.vin.ok_form:
        named = case.about_engine_found().get(APPLICATION)
        if named:
            yield f"application {named.show()} by {named.source}"
        elif case.family is None:
            yield "not identified: neither VIN nor family is known"
        return
    if not case.papers:
        yield f"the VIN {case.vin.vin} fits no application of the shop's families"
    elif len(case.papers) > 1:
        yield "the VIN fits " + " or ".join(application.id for _, application in case.papers)
    elif not case.swaps and not list(_transmission(case)) and not any(_all_differences(case)):
        yield "agrees with the VIN"


def _transmission(case: Case) -> Iterator[str]:
    """A transmission that the vehicle was not built with."""
    fact = case.direct.get(TRANSMISSION)
    choices = {choice for _, application in case.papers for choice in application.transmissions}
    if case.vin is not None and fact and choices and fact.value not in choices:
        yield f"transmission swap: VIN says {' or '.join(sorted(choices))}, found {fact.show()}"


def _all_differences(case: Case) -> Iterator[tuple[str, Fact]]:
    """Each stated feature of the engine that is not what the papers say, service blocks included."""
    if case.swaps or case.vin is None or len(case.papers) != 1:
        return
    family, application = case.papers[0]
    for attribute, fact in case.direct.items():
        schema = case.world.attributes.get(attribute)
        if schema is None or schema.about != "engine" or schema.type == "quantity":
            continue
        if attribute == BLOCK_CASTING and fact.value in application.castings:
            continue
        by_papers = case.built.get(attribute)
        said = application.castings if attribute == BLOCK_CASTING else ()
        expected = " or ".join(said) or (by_papers.show() if by_papers else "")
        if expected and not (by_papers and same(family, attribute, by_papers.value, fact.value)):
            yield (
                f"{schema.title} is not the VIN's: {expected} by the VIN, {fact.grade.name} {fact.show()}",
                fact,
            )


def _differences(case: Case) -> Iterator[tuple[str, Fact]]:
    """The differences but a service block, which proves no swap and has a remark of its own."""
    for text, fact in _all_differences(case):
        service = case.family.service_castings if case.family else ()
        if not (fact.attribute == BLOCK_CASTING and fact.value in service):
            yield text, fact


def _breaks(case: Case) -> Iterator[str]:
    """Features that the papers leave open and a feature that was seen decides."""
    for item in case.family.breaks if case.family and not case.swaps else ():
        feature, driver = case.found.get(item.feature), case.direct.get(item.driver)
        if feature and driver and driver.grade >= Grade.seen and item.feature not in case.built:
            title, by = case.world.title(item.feature), case.world.title(item.driver)
            yield f"{title} {feature.show()} by {by} {driver.show()}, not by year"


def _vin_findings(case: Case) -> Iterator[Finding]:
    if case.vin is None:
        return
    for complaint in case.vin.complaints:
        yield Finding(
            "vin-form", Verdict.WARN, str(complaint), "49 CFR 565.15, ISO 3779", "read the number again"
        )
    if case.vin.ok_form and not case.papers:
        yield Finding(
            "vin-unknown",
            Verdict.WARN,
            f"the VIN {case.vin.vin} fits no application of the shop's families",
            "application tables",
            "read the number again, or identify by casting and things seen",
        )


def _contradiction(case: Case, disagreement: Disagreement) -> Finding:
    """A contradiction stays until a person closes it; a measurement in place of a nominal value is a note."""
    schema = case.world.attributes.get(disagreement.attribute)
    first, *others = disagreement.facts
    refined = (
        schema is not None
        and schema.type == "quantity"
        and first.grade == Grade.measured
        and all(other.grade < Grade.measured for other in others)
    )
    return Finding(
        f"contradiction-{disagreement.attribute}",
        Verdict.NOTE if refined else Verdict.WARN,
        disagreement.show(),
        first.source,
        "" if refined else "look again, and strike out the wrong one",
    )
