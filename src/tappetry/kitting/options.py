"""The options of every slot: each way in which a need can be met, before choosing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from tappetry.assembly.values import UNDECIDED
from tappetry.knowledge.language import Expression
from tappetry.knowledge.model import Need, Slot
from tappetry.records.part import Part
from tappetry.records.plan import OwnPart

#: What a condition tells an option by.
Key = tuple[Any, ...]
#: States in which something stands in the engine.
FITTED = frozenset({"new", "own", "reuse", "shop stock", "by hand", "outside service"})
#: States in which what stands there is new.
RENEWED = frozenset({"new", "own"})


@dataclass(frozen=True, slots=True)
class Option:
    """One way to meet a slot: a state, what the conditions see of it, and the parts that give it.

    An open one has ``answers``: the ways between which it is open.
    """

    state: str
    view: Mapping[str, Any]
    parts: tuple[Part, ...] = ()
    own: OwnPart | None = None
    key: str = ""
    answers: tuple[Option, ...] = ()
    _projections: dict[frozenset[str], Key] = field(default_factory=dict, compare=False, repr=False)

    @property
    def names(self) -> list[str]:
        """What a refusal calls it: the numbers of its parts, or how it stands."""
        return [part.number for part in self.parts] or [self.own.description if self.own else self.state]

    def projection(self, members: frozenset[str]) -> Key:
        """What distinguishes the option for a condition that reads only these members.

        In the order of their names: sets that are equal may be walked in different orders.
        """
        known = self._projections.get(members)
        if known is None:
            view, undecided = self.view, self.view.get(UNDECIDED)
            seen = [view.get(member, undecided) for member in sorted(members)]
            known = self._projections[members] = (self.key,) if "" in members else tuple(seen)
        return known


@dataclass(frozen=True, slots=True)
class Rejected:
    """Why a candidate cannot fill a slot: the rule, its reason, and the values it met.

    ``read`` are the expressions that spoke against it, whose facts a refusal names too; ``arithmetic``
    reckons how far it falls short, where it was a proof that failed.
    """

    part: str
    rule: str
    why: str
    values: tuple[tuple[str, Any], ...] = ()
    read: tuple[Expression, ...] = ()
    arithmetic: Callable[[], str] | None = None


@dataclass(slots=True)
class SlotState:
    """A slot with the options that are still open, and what was ruled out on the way."""

    slot: Slot
    need: Need
    options: list[Option]
    rejected: list[Rejected] = field(default_factory=list)

    @property
    def root(self) -> str:
        """The name of the slot in conditions."""
        return self.slot.root


class Listed(list[Any]):
    """A list in a view: conditions read it as a list, memory keys hash it."""

    def __hash__(self) -> int:  # type: ignore[override]
        """Equal lists hash alike; what is in a box is told apart by its text."""
        return hash(repr(self))


def view_of(
    state: str, attributes: Mapping[str, Any], key: str, renewed: bool | None = None
) -> dict[str, Any]:
    """What conditions see of an option: its attributes, and how it stands there."""
    hashable = {
        name: Listed(value) if isinstance(value, list | tuple) else value
        for name, value in attributes.items()
    }
    return {
        **hashable,
        "key": key,
        "state": state,
        "standing": state if state in RENEWED else key,
        "fitted": state in FITTED,
        "renewed": state in RENEWED if renewed is None else renewed,
    }


def plain_option(
    state: str, attributes: Mapping[str, Any] | None = None, renewed: bool | None = None
) -> Option:
    """An option that buys nothing; where nothing stands, conditions see no attributes."""
    key = f"{state}/{renewed}"
    seen = attributes if attributes and state in FITTED else {}
    return Option(state, view_of(state, seen, key, renewed), key=key)


def part_option(attributes: Mapping[str, Any], parts: tuple[Part, ...]) -> Option:
    """The option of a class of parts that are equal in all that matters to the need."""
    key = "|".join(f"{part.supplier}/{part.number}" for part in parts)
    return Option("new", view_of("new", attributes, key), parts, key=key)


def part_options(parts_by_class: Iterable[tuple[Mapping[str, Any], tuple[Part, ...]]]) -> Iterator[Option]:
    """One option for each class."""
    return (part_option(attributes, parts) for attributes, parts in parts_by_class)


def own_option(own: OwnPart) -> Option:
    """The customer's own part as the only option of its need."""
    key = f"own/{own.need}/{own.description}"
    return Option("own", view_of("own", dict(own.attributes), key), own=own, key=key)
