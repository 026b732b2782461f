"""Which applications fit what is known, with what agrees and what disagrees, by source."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from tappetry.identification.evidence import (
    APPLICATION,
    BLOCK_CASTING,
    TRANSMISSION,
    World,
    same,
    stated_by,
)
from tappetry.identification.vin import VinReading, model_years
from tappetry.records.evidence import Facts, Grade, Value
from tappetry.records.family import Application, Family

MODEL_YEAR = "model-year"
SERIAL = "engine-serial"
ORIGIN = "engine-origin"


@dataclass(frozen=True, slots=True)
class Agreement:
    """One piece of evidence held against an application: who says what, and what the application says."""

    source: str
    said: str
    expected: str
    agrees: bool
    weight: int
    about: str

    def show(self) -> str:
        """One line: ``block casting 4417-B fits``, or what is expected instead."""
        return f"{self.said} fits" if self.agrees else f"{self.said}, expected {self.expected}"


@dataclass(frozen=True, slots=True)
class Candidate:
    """An application with the evidence for and against it."""

    family: str
    application: str
    vehicle: str
    agreements: tuple[Agreement, ...]

    @property
    def agrees(self) -> tuple[Agreement, ...]:
        """The evidence that fits."""
        return tuple(item for item in self.agreements if item.agrees)

    @property
    def disagrees(self) -> tuple[Agreement, ...]:
        """The evidence that does not fit."""
        return tuple(item for item in self.agreements if not item.agrees)


def candidates(facts: Facts, reading: VinReading | None, world: World) -> tuple[Candidate, ...]:
    """Every application that any evidence speaks for, the best supported first."""
    found = [
        Candidate(
            family.id,
            application.id,
            application.vehicle,
            tuple(_held_against(facts, reading, family, application, world)),
        )
        for family in world.families.values()
        for application in family.applications
    ]
    spoken_for = [candidate for candidate in found if candidate.agrees]
    return tuple(sorted(spoken_for, key=_rank))


def _rank(candidate: Candidate) -> tuple[int, int]:
    against = sum(item.weight for item in candidate.disagrees)
    return against, -sum(item.weight for item in candidate.agrees)


def by_papers(
    facts: Facts, reading: VinReading | None, world: World
) -> tuple[tuple[Family, Application], ...]:
    """The applications that the papers mean: by the VIN, else by the serial of an engine without one."""
    every = [(family, a) for family in world.families.values() for a in family.applications]
    if reading is not None and reading.ok_form:
        return tuple(pair for pair in every if _vin_fits(reading, pair[1]) and years_of(reading, pair[1]))
    serial = facts.get(SERIAL)
    if serial is not None:
        return tuple(pair for pair in every if str(serial.value).startswith(pair[1].serials or ("\0",)))
    return ()


def by_engine(facts: Facts, world: World) -> tuple[tuple[Family, Application], ...]:
    """The applications whose engine the evidence on the engine itself speaks for, and least against."""
    against: list[tuple[int, Family, Application]] = []
    for family in world.families.values():
        for application in family.applications:
            held = [
                item
                for item in _features(facts, family, application, world)
                if item.about not in {"vehicle", "use"}
            ]
            if any(item.agrees for item in held):
                weight = sum(item.weight for item in held if not item.agrees)
                against.append((weight, family, application))
    least = min((weight for weight, _, _ in against), default=0)
    return tuple((family, application) for weight, family, application in against if weight == least)


def support(facts: Facts, pairs: Sequence[tuple[Family, Application]], world: World) -> Grade:
    """How well a conclusion from the engine is known: as well as its best evidence, at most decoded."""
    agreeing = [
        item.weight
        for family, application in pairs
        for item in _features(facts, family, application, world)
        if item.agrees and item.about not in {"vehicle", "use"}
    ]
    return min(Grade.decoded, Grade(max(agreeing, default=Grade.assumed)))


def common(pairs: Sequence[tuple[Family, Application]]) -> dict[str, Value]:
    """What all of several applications say alike."""
    said = [stated_by(family, application) for family, application in pairs]
    if not said:
        return {}
    return {
        attribute: value
        for attribute, value in said[0].items()
        if all(other.get(attribute) == value for other in said[1:])
    }


def years_of(reading: VinReading, application: Application) -> tuple[int, ...]:
    """The model years of a VIN in which the application was built."""
    return tuple(
        year
        for year in model_years(reading.vin, application.light)
        if application.first_year <= year <= application.last_year
    )


def _vin_fits(reading: VinReading, application: Application) -> bool:
    if not application.vin:
        return False
    maker_fits = not application.maker or reading.wmi == application.maker
    return maker_fits and all(reading.at(place) == code for place, code in application.vin.items())


def _held_against(
    facts: Facts, reading: VinReading | None, family: Family, application: Application, world: World
) -> Iterator[Agreement]:
    """Each piece of evidence against one application."""
    if reading is not None and reading.ok_form and application.vin:
        expected = ", ".join(f"{code} at position {place}" for place, code in application.vin.items())
        said = ", ".join(f"{reading.at(place)} at position {place}" for place in application.vin)
        fits = _vin_fits(reading, application)
        yield Agreement("VIN", said, expected, fits, Grade.decoded, "vehicle")
        if reading.model_years:
            years = " or ".join(map(str, model_years(reading.vin, application.light)))
            built = f"{application.first_year} to {application.last_year}"
            fits = bool(years_of(reading, application))
            yield Agreement("VIN", f"model year {years}", built, fits, Grade.decoded, "vehicle")
    yield from _papers(facts, application)
    yield from _features(facts, family, application, world)


def _papers(facts: Facts, application: Application) -> Iterator[Agreement]:
    """Application, model year and serial as stated."""
    if fact := facts.get(APPLICATION):
        fits = fact.value == application.id
        yield Agreement(fact.source, f"application {fact.value}", application.id, fits, fact.grade, "vehicle")
    if fact := facts.get(MODEL_YEAR):
        built = f"{application.first_year} to {application.last_year}"
        fits = application.first_year <= float(str(fact.value)) <= application.last_year
        yield Agreement(fact.source, f"model year {fact.show()}", built, fits, fact.grade, "vehicle")
    if (fact := facts.get(SERIAL)) and application.serials:
        expected = " or ".join(f"{start}..." for start in application.serials)
        fits = str(fact.value).startswith(application.serials)
        yield Agreement(fact.source, f"engine serial {fact.value}", expected, fits, fact.grade, "engine")


def _features(facts: Facts, family: Family, application: Application, world: World) -> Iterator[Agreement]:
    """What was stated about the engine and vehicle, against what the application was built with."""
    built = world.built(application.id)
    lists = {BLOCK_CASTING: application.castings, TRANSMISSION: application.transmissions}
    for attribute, fact in facts.items():
        choices: Iterable[Value] = lists.get(attribute) or (
            (built[attribute].value,) if attribute in built else ()
        )
        if attribute in {APPLICATION, MODEL_YEAR, ORIGIN} or not choices:
            continue
        fits = any(same(family, attribute, choice, fact.value) for choice in choices)
        if not fits and attribute == BLOCK_CASTING and fact.value in family.service_castings:
            continue
        said = f"{world.title(attribute)} {fact.show()}"
        expected = " or ".join(world.fact(attribute, c, fact.grade, "").show() for c in choices)
        yield Agreement(fact.source, said, expected, fits, fact.grade, world.about(attribute))
