"""Double entry: every posting balances, and nothing leaves an account that did not come to it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.pricing.books import CREDITS, CUSTOMERS, DEPOSITS, KINDS, MEANS, Leg, act_legs, balanced
from tappetry.records.problems import BadInput, OurFault

NOTHING = Decimal("0.00")
ACTS = st.tuples(st.sampled_from(sorted(KINDS)), st.sampled_from(sorted(MEANS)), st.integers(1, 10**9))


@given(st.lists(ACTS, max_size=40))
def test_whatever_moves_all_accounts_together_stand_at_nothing(acts: list[tuple[str, str, int]]) -> None:
    stands = {CUSTOMERS: Decimal("1000.00"), "sales": Decimal("-1000.00")}
    for kind, means, cents in acts:
        try:
            legs = act_legs(kind, Decimal(cents).scaleb(-2), means, stands)
        except BadInput:
            continue
        assert len(legs) == 2 or kind == "payment"
        assert sum((leg.amount for leg in legs), NOTHING) == 0
        for leg in legs:
            stands[leg.account] = stands.get(leg.account, NOTHING) + leg.amount
        assert sum(stands.values(), NOTHING) == 0
        assert stands.get(DEPOSITS, NOTHING) <= 0, "no more of a deposit goes back than came"
        assert stands.get(CREDITS, NOTHING) <= 0, "no more goes back than was paid too much"


def test_a_deposit_is_owed_until_it_goes_back() -> None:
    assert act_legs("deposit", Decimal("954.35"), "transfer", {}) == (
        Leg("bank", Decimal("954.35")),
        Leg(DEPOSITS, Decimal("-954.35")),
    )
    with pytest.raises(BadInput, match=r"more than stands on .*at most 954\.35"):
        act_legs("deposit-back", Decimal("954.36"), "transfer", {DEPOSITS: Decimal("-954.35")})


def test_what_is_paid_beyond_the_invoice_stays_to_the_customers_credit() -> None:
    assert act_legs("payment", Decimal("120.00"), "cash", {CUSTOMERS: Decimal("100.00")}) == (
        Leg("cash", Decimal("120.00")),
        Leg(CUSTOMERS, Decimal("-100.00")),
        Leg(CREDITS, Decimal("-20.00")),
    )
    with pytest.raises(BadInput, match=r"at most 20\.00"):
        act_legs("refund", Decimal("20.01"), "cash", {CREDITS: Decimal("-20.00")})


def test_before_an_invoice_it_is_a_deposit_and_while_one_is_open_it_is_a_payment() -> None:
    with pytest.raises(BadInput, match="nothing is invoiced; this is a deposit"):
        act_legs("payment", Decimal("1.00"), "cash", {})
    with pytest.raises(BadInput, match="an invoice is open; this is a payment on it"):
        act_legs("deposit", Decimal("1.00"), "cash", {CUSTOMERS: Decimal("0.01")})
    act_legs("deposit", Decimal("1.00"), "cash", {CUSTOMERS: NOTHING})


@pytest.mark.parametrize(
    ("kind", "amount", "means", "said"),
    [
        ("gift", "1.00", "cash", "no such act"),
        ("deposit", "0.00", "cash", "more than 0"),
        ("deposit", "1.00", "shells", "comes and goes in some way"),
        ("returned", "1.00", "", r"at most 0\.00"),
    ],
)
def test_what_makes_no_sense_is_refused(kind: str, amount: str, means: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        act_legs(kind, Decimal(amount), means, {})


def test_legs_that_do_not_balance_are_a_fault() -> None:
    with pytest.raises(OurFault, match=r"0\.01 over"):
        balanced([Leg("a", Decimal("1.00")), Leg("b", Decimal("-0.99"))])
