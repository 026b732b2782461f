"""What a customer who comes back is told and asked: what stays true, what was sold, what was declined."""

from __future__ import annotations

import pytest

from tappetry.records.problems import BadInput
from tappetry.services import agreements, people
from tappetry.services.agreements import DECLINED, IN_PERSON, Signed
from tappetry.services.ledger import Ledger
from tappetry.store.database import Database
from tappetry.store.problems import NotKept
from tests.services.office import ledger_at_noon, quoted

pytestmark = pytest.mark.slow

NEW = {"number": "J-9", "cam": "B2", "title": "came back"}


@pytest.fixture
def ledger(database: Database, monkeypatch: pytest.MonkeyPatch) -> Ledger:
    """The ledger of the invented shop, empty."""
    return ledger_at_noon(database, monkeypatch)


def vehicle_of(ledger: Ledger, number: str) -> int:
    """The vehicle of a job."""
    vehicle = people.of_job(ledger, number)[1]
    assert vehicle is not None
    return vehicle.id


def test_a_new_job_takes_over_what_stays_true_with_its_evidence_and_day(ledger: Ledger) -> None:
    quoted(ledger, "J1")
    before = ledger.job("J1").kept.document["facts"]
    people.new_job_for(ledger, vehicle_of(ledger, "J1"), NEW, "Wren")
    after = ledger.job("J-9").kept.document
    assert after["customer"] == "A. Pellow"
    assert after["facts"]["mileage"] == "unknown", "it is asked again"
    attributes = ledger.shop.knowledge.attributes
    kept = {name for name in before if attributes[name].about in people.STAYS}
    assert set(after["facts"]) == kept | {"mileage"}
    for name in kept:
        (old, *_), (new, *_) = (
            [each] if isinstance(each, dict) else each for each in (before[name], after["facts"][name])
        )
        assert (new["value"], new["grade"]) == (old["value"], old["grade"])
        assert new["source"] == f"{old['source']}; job J1 of {ledger.job('J1').job.date}"
    assert people.of_job(ledger, "J-9") != (None, None)
    assert vehicle_of(ledger, "J-9") == vehicle_of(ledger, "J1")
    people.new_job_for(
        ledger, vehicle_of(ledger, "J1"), {**NEW, "number": "J-10"}, "Wren", ("99000 km", "seen")
    )
    third = ledger.job("J-10").kept.document["facts"]
    assert third["mileage"] == {"value": "99000 km", "grade": "seen", "source": "asked on 2026-03-02"}
    assert third["vin"][0]["source"].count("; job ") == 1, "the job that said it first is named, and no other"


def test_what_agreed_work_may_have_changed_is_asked_again(ledger: Ledger) -> None:
    number = quoted(ledger, "J1")
    attributes = ledger.shop.knowledge.attributes
    renewed = next(each for each in attributes.values() if each.renewed and each.type == "text")
    version = ledger.job(number).kept.versions["facts"]
    ledger.state_fact(number, renewed.id, "as read", "seen", "a photo", version, "Wren")
    before = people.taken_over(ledger, vehicle_of(ledger, number))
    changeable = {name for name in before.facts if attributes[name].renewed}
    assert renewed.id in changeable, "nothing was done yet, so nothing changed"
    options = agreements.options_of(ledger.quotes(number)[0].document)
    answers = {place: DECLINED for place, option in enumerate(options) if option.open}
    signed = Signed("A. Pellow", IN_PERSON, answers, read=True)
    agreements.accept_quote(ledger, number, 1, signed, "Wren")
    after = people.taken_over(ledger, vehicle_of(ledger, number))
    assert set(before.facts) - set(after.facts) == changeable
    assert set(after.facts) - set(before.facts) == {"cam-grind"}
    assert changeable <= {each.id for each in after.again}
    customer = people.of_job(ledger, number)[0]
    assert customer is not None
    (told,) = people.known(ledger, customer.id).before
    assert {text for text, _ in told.declined} == {option.text for option in options}
    assert told.total == ledger.quotes(number)[0].total
    assert told.parts
    assert told.measured


def test_the_camshaft_that_was_put_in_stands_in_the_next_job(ledger: Ledger) -> None:
    """Springs for a converted engine are proved on the camshaft of the conversion, not on the factory's."""
    quoted(ledger, "J1")
    vehicle = vehicle_of(ledger, "J1")
    assert "cam-grind" not in people.taken_over(ledger, vehicle).facts, "nothing was agreed on yet"
    options = agreements.options_of(ledger.quotes("J1")[0].document)
    answers = {place: DECLINED for place, option in enumerate(options) if option.open}
    agreements.accept_quote(ledger, "J1", 1, Signed("A. Pellow", IN_PERSON, answers, read=True), "Wren")
    stated = {"number": "J-9", "title": "a broken spring"}
    people.new_job_for(ledger, vehicle, stated, "Wren", work=["springs"])
    document = ledger.job("J-9").kept.document
    assert document["plan"] == {"work": ["springs"], "heads": "on"}
    (said,) = document["facts"]["cam-grind"]
    assert (said["value"], said["grade"]) == ("B2", "decoded")
    assert said["source"] == f"job J1 of {ledger.job('J1').job.date} was to put it in"
    found = ledger.identify(ledger.job("J-9").job).engine_as_found.facts["cam-grind"]
    assert (found.value, found.source) == ("B2", said["source"])
    version = ledger.job("J-9").kept.versions["facts"]
    ledger.state_fact("J-9", "cam-grind", "F56", "seen", "number on the camshaft", version, "Wren")
    (said, *_) = people.taken_over(ledger, vehicle).facts["cam-grind"]
    assert (said["value"], said["grade"]) == ("F56", "seen")


def test_two_are_merged_with_a_line_in_the_history_of_each_job(ledger: Ledger) -> None:
    for name in ("J1", "J3"):
        ledger.new_job((ledger.shop.jobs / f"{name}.yaml").read_text(encoding="utf-8"), "Wren")
    first, second = (people.of_job(ledger, name)[0] for name in ("J1", "J3"))
    assert first is not None
    assert second is not None
    people.change_customer(
        ledger, second.id, " M. Tresk ", ["555 0142", " "], "ask for the back door", "Wren"
    )
    with pytest.raises(BadInput, match="a customer is not merged with himself"):
        people.merge(ledger, first.id, first.id, "Wren")
    with pytest.raises(BadInput, match="a customer has a name"):
        people.change_customer(ledger, first.id, " ", [], "", "Wren")
    with pytest.raises(BadInput, match=r"name: the text is too long .*expected up to 200 signs"):
        people.change_customer(ledger, first.id, "x" * 201, [], "", "Wren")
    people.merge(ledger, first.id, second.id, "Rook")
    said = f"merged customer {second.id} into customer {first.id}"
    assert ledger.history("J3")[0].what == said
    assert ledger.history("J3")[0].who == "Rook"
    found = people.known(ledger, first.id)
    assert [each.row.number for each in found.before] == ["J3", "J1"]
    assert found.customer.reach == ("555 0142",)
    assert people.find(ledger, "5550142")[0].id == first.id
    with pytest.raises(NotKept, match=f"There is no customer {second.id}"):
        people.known(ledger, second.id)
