"""The vehicles that a shop tries its identification on: what is known of each, and what must come out."""

from __future__ import annotations

from dataclasses import dataclass

from tappetry.identification.resolve import Identification
from tappetry.knowledge import schema
from tappetry.knowledge.text import Document, read_yaml
from tappetry.records.evidence import Fact
from tappetry.records.problems import Complaints
from tappetry.services.identify import identify_facts, read_fact
from tappetry.services.shop import Shop


@dataclass(frozen=True, slots=True)
class Trial:
    """A vehicle with its facts, the applications and the words that must come out, and what came out."""

    id: str
    title: str
    application: str
    engine: str
    verdict: tuple[str, ...]
    identification: Identification

    def failures(self) -> tuple[str, ...]:
        """What came out otherwise than it must; nothing when all is well."""
        found = self.identification
        pairs = (
            ("application by the papers", self.application, found.engine_as_built.application),
            ("application of the engine", self.engine, found.engine_as_found.application),
        )
        wrong = [
            f"{what} is {came or 'open'}, not {must or 'open'}" for what, must, came in pairs if must != came
        ]
        return (*wrong, *(f"not said: {words}" for words in self.verdict if words not in found.verdict))


def trials(shop: Shop) -> tuple[Trial, ...]:
    """The vehicles of the shop's ``vehicles.yaml``, each identified; none where there is no such file.

    Raises
    ------
    BadInput
        The file cannot be read, with line and field.
    """
    file = shop.text / "vehicles.yaml"
    if not file.is_file():
        return ()
    document = read_yaml(file)
    schema.check(document, "vehicles")
    return tuple(_trial(shop, document, index) for index in range(len(document.data)))


def _trial(shop: Shop, document: Document, index: int) -> Trial:
    vehicle = document.data[index]
    complaints = Complaints()
    facts = [_fact(shop, document, index, place, complaints) for place in range(len(vehicle["facts"]))]
    complaints.raise_if_any()
    return Trial(
        id=vehicle["id"],
        title=vehicle["title"],
        application=vehicle["application"],
        engine=vehicle["engine"],
        verdict=tuple(vehicle["verdict"]),
        identification=identify_facts(shop, [fact for fact in facts if fact is not None]),
    )


def _fact(shop: Shop, document: Document, vehicle: int, place: int, complaints: Complaints) -> Fact | None:
    stated = document.data[vehicle]["facts"][place]
    return read_fact(
        shop.knowledge,
        stated["attribute"],
        stated["value"],
        stated["grade"],
        stated["source"],
        document.where((vehicle, "facts", place)),
        complaints,
    )
