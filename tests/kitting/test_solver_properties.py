"""The solver against brute force and a second solver, on small random shops; and what may never change it."""

from __future__ import annotations

from hypothesis import HealthCheck, assume, given, settings

from tappetry.kitting.resolve import attempt
from tappetry.kitting.solver import Solution
from tests.kitting.brute_force import TooLarge, best
from tests.kitting.small_shops import SmallShop, small_shops

FEW = settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])


def solved(shop: SmallShop) -> Solution | None:
    return attempt(shop.request())[1]


@FEW
@given(small_shops())
def test_the_solver_finds_what_brute_force_finds(shop: SmallShop) -> None:
    try:
        expected = best(shop)
    except TooLarge:
        assume(False)
        return
    solution = solved(shop)
    if expected is None:
        assert solution is None, repr(shop)
        return
    assert solution is not None, repr(shop)
    assert dict(solution.units) == dict(expected.units), repr(shop)
    assert solution.landed_cost * 100 == expected.landed_cents
    assert solution.proved
    states = {root: option.state for root, option in solution.chosen.items()}
    assert states == {root: state.removesuffix(" renewed") for root, state in expected.states.items()}
