"""What proofs are drawn of is what they were made of: the least clearance and the loads are theirs."""

from __future__ import annotations

import pytest

from tappetry.knowledge.language import Unknown
from tappetry.quantities.units import to_si
from tappetry.services.drawings import closeness, spring_travel
from tappetry.services.kits import KitResult, kit_for_file
from tests.kitting.support import demo

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module", params=("J1", "J3", "J5"))
def result(request: pytest.FixtureRequest) -> KitResult:
    return kit_for_file(demo(), demo().jobs / f"{request.param}.yaml")


def proofs_by_calculation(result: KitResult, calculation: str) -> list[tuple[float, float]]:
    """Value and limit, in SI, of the proofs that hold what a calculation gives to a limit."""
    knowledge = demo().knowledge
    found = []
    for proof in result.kit.proofs:
        read = [knowledge.named[each.root] for each in knowledge.proofs[proof.id].value.reads
                if each.root in knowledge.named]  # fmt: skip
        if any(each.calculation == calculation for each in read):
            assert proof.value is not None
            assert proof.limit is not None
            kind = "force" if proof.unit == "lb" else "length"
            found.append((to_si(proof.value, proof.unit, kind), to_si(proof.limit, proof.unit, kind)))
    return found


def test_valves_come_as_near_as_their_proofs_say(result: KitResult) -> None:
    found = closeness(result)
    for name in ("intake", "exhaust"):
        ((value, limit),) = proofs_by_calculation(result, f"{name}-piston-to-valve")
        assert found[name].approach.clearances.min() == pytest.approx(value, rel=1e-9)
        assert found[name].limit == pytest.approx(limit)


def test_a_spring_has_the_loads_and_the_room_of_its_proofs(result: KitResult) -> None:
    travel = spring_travel(result)
    assert travel is not None
    open_, *_ = proofs_by_calculation(result, "open-load")
    room, *_ = proofs_by_calculation(result, "coil-bind-margin")
    ((seat, _),) = proofs_by_calculation(result, "seat-load")
    assert travel.load(0.0) == pytest.approx(seat)
    assert travel.load(travel.full_lift) == pytest.approx(open_[0])
    assert travel.solid_lift - travel.full_lift == pytest.approx(room[0])


def test_what_is_not_known_is_not_drawn(result: KitResult, monkeypatch: pytest.MonkeyPatch) -> None:
    def unknown(name: str, slots: object) -> None:
        raise Unknown(name, "")

    monkeypatch.setattr(result.resolution.values, "inputs_of", unknown)
    assert closeness(result) == {}
    assert spring_travel(result) is None
