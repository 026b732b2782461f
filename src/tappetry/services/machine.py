"""Work at a machine shop: what goes out with its targets, and what comes back measured, judged at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from tappetry.jobs.reader import read_job_data
from tappetry.jobs.values import read_tolerance, read_value
from tappetry.pricing.books import MOST
from tappetry.pricing.policy import read_policy
from tappetry.quantities.money import Money, MoneyError
from tappetry.records.family import AttributeSchema
from tappetry.records.problems import Complaints, Refusal, Where
from tappetry.records.verdict import Verdict
from tappetry.services.ledger import Ledger
from tappetry.store import jobs, machine
from tappetry.store.machine import WorkPaper
from tappetry.store.machine_models import MachineOrder
from tappetry.store.models import FACTS

__all__ = ["MachineOrder", "WorkPaper"]

#: The root under which conditions speak of the engine.
_ENGINE = "engine."
#: The longest text on a work order. [sign]
LONGEST = 2000


@dataclass(frozen=True, slots=True)
class Target:
    """Something to be measured: what the job reckons with now, and the checks that hang on it."""

    attribute: AttributeSchema
    reckoned: str
    checks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Work:
    """A work order as somebody writes it; ``targets`` holds the value wanted of each attribute, as typed."""

    machinist: str
    promised: str
    parts: Sequence[str]
    work: Sequence[str]
    targets: Mapping[str, str] = field(default_factory=dict)
    price: str = ""


@dataclass(frozen=True, slots=True)
class Judged:
    """A value that came back: whether it lies within what was ordered; None where no limits were ordered."""

    title: str
    value: str
    target: str
    within: bool | None


#: How a work order is set on paper: its data and the day.
Setter = Callable[[dict[str, Any], date], bytes]


def targets(ledger: Ledger, number: str) -> tuple[Target, ...]:
    """What may be measured outside: each number of the engine on which a check of the job's kit hangs."""
    try:
        kit = ledger.kit(ledger.job(number).job).kit
    except Refusal:
        return ()
    by_name = {each.name_in_conditions: each for each in ledger.shop.knowledge.attributes.values()}
    found: dict[str, tuple[str, list[str]]] = {}
    for proof in kit.proofs:
        for put in proof.inputs:
            attribute = by_name.get(put.name.removeprefix(_ENGINE))
            if attribute is None or not put.name.startswith(_ENGINE) or attribute.type != "quantity":
                continue
            reckoned = f"{put.value:g} {attribute.unit}".strip() if isinstance(put.value, float) else ""
            checks = found.setdefault(attribute.id, (reckoned, []))[1]
            said = f"{proof.title}: {_figure(proof.value)} against {_figure(proof.limit)} {proof.unit}"
            checks.append(said.strip())
    attributes = ledger.shop.knowledge.attributes
    return tuple(
        Target(attributes[name], value, tuple(dict.fromkeys(checks)))
        for name, (value, checks) in found.items()
    )


def services(ledger: Ledger, number: str) -> tuple[str, ...]:
    """The work outside that the kit of a job holds, as it stands there."""
    classes = read_policy(ledger.shop.knowledge.book.money).service_classes
    try:
        lines = ledger.kit(ledger.job(number).job).kit.lines
    except Refusal:
        return ()
    return tuple(line.description for line in lines if line.tax_class in classes)


def send(
    ledger: Ledger, number: str, work: Work, setter: Setter, who: str, seen: int | None = None
) -> MachineOrder:
    """Write a work order down as it goes out.

    ``seen`` says how many there were when the form was made; None asks nothing.

    Raises
    ------
    BadInput
        With every complaint: who, when, what, a target or the price cannot be read.
    NotKept
        Somebody else wrote one meanwhile, or the same form was sent twice.
    """
    opened = ledger.job(number)
    promised, price, wanted = _read(ledger, work)
    currency = read_policy(ledger.shop.knowledge.book.money).currency
    order = 1 + (len(orders(ledger, number)) if seen is None else seen)
    on = ledger.today
    document = {
        "job": number,
        "number": str(order),
        "date": on.isoformat(),
        "machinist": work.machinist.strip(),
        "promised": promised.isoformat(),
        "parts": _texts(work.parts),
        "work": _texts(work.work),
        "targets": wanted,
        "engine": " ".join(ledger.identify(opened.job).engine_as_found.family.split()),
    }
    price_text = "" if price is None else f"{price:.2f}"
    pdf = setter({**document, "price": price_text, "currency": currency}, on)
    paper = WorkPaper(work.machinist.strip(), promised, document, pdf, price, currency)
    act = ledger.act(who, f"sent work order {order} to a machine shop")
    with ledger.database.writing() as session:
        return machine.keep_order(session, number, order, paper, act)


def orders(ledger: Ledger, number: str) -> list[MachineOrder]:
    """The work orders of a job, the first one first."""
    return ledger.read(lambda session: machine.orders_of(session, number))


def order_of(ledger: Ledger, number: str, order: int) -> MachineOrder:
    """A work order with its paper."""
    return ledger.read(lambda session: machine.paper_of(session, number, order))


def late(ledger: Ledger) -> list[tuple[str, MachineOrder]]:
    """Work orders that are out beyond the day that was promised."""
    return ledger.read(lambda session: machine.late(session, ledger.today))


def take_back(ledger: Ledger, number: str, order: int, values: Mapping[str, str], who: str) -> None:
    """Take in what came back: each value stands as a measured fact of the job from now on.

    Raises
    ------
    BadInput
        With every complaint: a value that was not ordered, or cannot be read.
    NotKept
        There is no such order, or it came back already.
    """
    found = order_of(ledger, number, order)
    said = {name: value.strip() for name, value in values.items() if value.strip()}
    ordered = {each["attribute"] for each in found.document["targets"]}
    complaints = Complaints()
    for name, value in said.items():
        if name not in ordered:
            complaints.add(Where(field=name), "this was not ordered", value, "a value of the work order")
            continue
        _reading(ledger.shop.knowledge.attributes[name], value, complaints)
    complaints.raise_if_any()
    source = f"machine shop {found.machinist}, work order {order}"
    act = ledger.act(who, f"took back work order {order} from the machine shop")
    with ledger.database.writing() as session:
        machine.keep_return(session, number, order, said, act)
        if not said:
            return
        read = jobs.job_now(session, number)
        facts = dict(read.document[FACTS])
        for name, value in said.items():
            stood = facts.get(name)
            earlier = stood if isinstance(stood, list) else [stood] if isinstance(stood, Mapping) else []
            facts[name] = [{"value": value, "grade": "measured", "source": source}, *earlier]
        document = {**read.document, FACTS: facts}
        read_job_data(document, ledger.shop.knowledge, f"job {number}")
        jobs.change_job(session, document, read.versions, act)


def judged(ledger: Ledger, order: MachineOrder) -> tuple[Judged, ...]:
    """What came back on an order, each value against what was ordered."""
    if order.back is None:
        return ()
    attributes = ledger.shop.knowledge.attributes
    back: Mapping[str, str] = order.back.document["values"]
    found = []
    for target in order.document["targets"]:
        attribute = attributes.get(target["attribute"])
        value = back.get(target["attribute"])
        if attribute is None or value is None:
            continue
        within = None
        limits = read_tolerance(attribute, target["value"])
        si = read_value(attribute, value)[2]
        if limits is not None and si is not None:
            within = limits.nominal - limits.minus <= si <= limits.nominal + limits.plus
        found.append(Judged(target["title"], value, target["value"], within))
    return tuple(found)


def misses(ledger: Ledger, number: str) -> tuple[str, ...]:
    """The checks of a job that do not hold as it stands now, in words; the refusal where there is no kit."""
    try:
        proofs = ledger.kit(ledger.job(number).job).kit.proofs
    except Refusal as refusal:
        return (refusal.message,)
    bad = (Verdict.STOP, Verdict.SIGN, Verdict.WARN)
    return tuple(
        f"{each.title}: {_figure(each.value)} against {_figure(each.limit)} {each.unit}".strip()
        for each in proofs
        if each.verdict in bad
    )


def _read(ledger: Ledger, work: Work) -> tuple[date, Decimal | None, list[dict[str, str]]]:
    complaints = Complaints()
    currency = read_policy(ledger.shop.knowledge.book.money).currency
    if not work.machinist.strip() or len(work.machinist) > 200:
        complaints.add(Where(field="machinist"), "who does the work is missing or too long", "", "a name")
    if not _texts(work.parts):
        complaints.add(Where(field="parts"), "a work order says what is sent", "", "such as: heads, 2")
    if not _texts(work.work) and not work.targets:
        complaints.add(Where(field="work"), "a work order says what is to be done", "", "work or a target")
    if len("".join((*work.parts, *work.work))) > LONGEST:
        complaints.add(Where(field="work"), "the text is too long", "", f"up to {LONGEST} signs")
    promised, price = ledger.today, None
    try:
        promised = date.fromisoformat(work.promised.strip())
    except ValueError:
        complaints.add(Where(field="promised"), "there is no such day", work.promised, "year-month-day")
    if work.price.strip():
        try:
            price = Money.parse(work.price.strip(), currency).amount
        except MoneyError as error:
            complaints.add(Where(field="price"), str(error), work.price, "whole cents, such as 240.00")
        if price is not None and not 0 <= price <= MOST:
            complaints.add(Where(field="price"), "the price is not sound", work.price, f"0 up to {MOST}")
    wanted = []
    for name, value in work.targets.items():
        attribute = ledger.shop.knowledge.attributes.get(name)
        if attribute is None:
            complaints.add(Where(field=name), "there is no such attribute", name, "one of the shop's list")
        elif not value.strip() or _reading(attribute, value, complaints):
            wanted.append({"attribute": name, "title": attribute.title, "value": value.strip()})
    complaints.raise_if_any()
    return promised, price, wanted


def _reading(attribute: AttributeSchema, value: str, complaints: Complaints) -> bool:
    try:
        read_value(attribute, value)
        read_tolerance(attribute, value)
    except ValueError as error:
        complaints.add(Where(field=attribute.id), str(error), value)
        return False
    return True


def _texts(texts: Sequence[str]) -> list[str]:
    return [each.strip() for each in texts if each.strip()]


def _figure(value: float | None) -> str:
    return "unknown" if value is None else f"{value:.5g}"
