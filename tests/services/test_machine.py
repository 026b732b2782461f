"""Work at a machine shop: what goes out, what comes back, and how it is judged against limits and checks."""

from __future__ import annotations

from datetime import timedelta
from functools import partial

import pytest

from tappetry.presentation.machine_order import machine_pdf
from tappetry.records.problems import BadInput
from tappetry.services import machine
from tappetry.services.ledger import Ledger
from tappetry.services.machine import Work
from tappetry.store.database import Database
from tappetry.store.problems import NotKept
from tests.services.office import NOON, ledger_at_noon

pytestmark = pytest.mark.slow

HEIGHT = "installed-height"


@pytest.fixture
def ledger(database: Database, monkeypatch: pytest.MonkeyPatch) -> Ledger:
    """The ledger of the invented shop with one job."""
    made = ledger_at_noon(database, monkeypatch)
    made.new_job((made.shop.jobs / "J1.yaml").read_text(encoding="utf-8"), "Wren")
    return made


def send(ledger: Ledger, **changed: object) -> machine.MachineOrder:
    stated = {
        "machinist": "Fenwick bench",
        "promised": "2026-03-09",
        "parts": ["heads, 2", ""],
        "work": ["check, and cut the seats"],
        "targets": {HEIGHT: "1.800 in ±0.005 in"},
        "price": "240.00",
    }
    work = Work(**{**stated, **changed})  # type: ignore[arg-type]
    return machine.send(ledger, "J1", work, partial(machine_pdf, ledger.shop), "Wren")


def test_a_value_that_comes_back_is_judged_at_once_and_every_check_takes_it_up(ledger: Ledger) -> None:
    offered = {each.attribute.id: each for each in machine.targets(ledger, "J1")}
    assert any("spring is not solid" in check for check in offered[HEIGHT].checks)
    assert offered[HEIGHT].reckoned == "1.8 in"
    order = send(ledger)
    assert (order.number, str(order.price)) == (1, "240.00")
    assert machine.order_of(ledger, "J1", 1).pdf.startswith(b"%PDF-")
    before = {each.id: each for each in ledger.kit(ledger.job("J1").job).kit.proofs}
    machine.take_back(ledger, "J1", 1, {HEIGHT: "1.790 in"}, "Rook")
    fact = next(each for each in ledger.job("J1").job.facts if each.attribute == HEIGHT)
    assert (fact.show(), fact.grade.name) == ("1.790 in", "measured")
    assert fact.source == "machine shop Fenwick bench, work order 1"
    after = {each.id: each for each in ledger.kit(ledger.job("J1").job).kit.proofs}
    moved = [name for name, each in after.items() if name in before and each.value != before[name].value]
    assert moved, "the checks are reckoned with what was measured"
    (judged,) = machine.judged(ledger, machine.order_of(ledger, "J1", 1))
    assert (judged.value, judged.within) == ("1.790 in", False)
    assert isinstance(machine.misses(ledger, "J1"), tuple)
    assert ledger.history("J1")[0].what == "took back work order 1 from the machine shop"
    with pytest.raises(NotKept, match="no work order 1 that is out"):
        machine.take_back(ledger, "J1", 1, {}, "Rook")
    send(ledger)
    machine.take_back(ledger, "J1", 2, {HEIGHT: "1.804 in"}, "Rook")
    (judged,) = machine.judged(ledger, machine.order_of(ledger, "J1", 2))
    assert judged.within is True


def test_what_was_not_ordered_or_cannot_be_read_is_refused_and_nothing_is_kept(ledger: Ledger) -> None:
    send(ledger)
    with pytest.raises(BadInput) as told:
        machine.take_back(ledger, "J1", 1, {HEIGHT: "tall", "head-thickness": "100 mm"}, "Rook")
    assert "this was not ordered" in str(told.value)
    assert "tall" in str(told.value)
    assert machine.order_of(ledger, "J1", 1).back is None
    assert ledger.job("J1").kept.versions["facts"] == 1
    with pytest.raises(BadInput) as told:
        send(ledger, machinist="", promised="soon", parts=[], price="12.345", targets={HEIGHT: "tall"})
    for words in ("who does the work", "no such day", "what is sent", "price: ", "12.345", "tall"):
        assert words in str(told.value), words
    assert len(machine.orders(ledger, "J1")) == 1


def test_what_is_late_is_told_until_it_is_back(ledger: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    send(ledger)
    assert machine.late(ledger) == []
    monkeypatch.setattr(ledger, "now", lambda: NOON + timedelta(days=8))
    ((number, order),) = machine.late(ledger)
    assert (number, order.number, order.machinist) == ("J1", 1, "Fenwick bench")
    machine.take_back(ledger, "J1", 1, {}, "Rook")
    assert machine.late(ledger) == []
