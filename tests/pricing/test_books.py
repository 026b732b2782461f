"""Double entry: every posting balances, and nothing leaves an account that did not come to it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from tappetry.pricing.bill import Bill, TaxClass
from tappetry.pricing.books import (
    CREDITS,
    CUSTOMERS,
    DEPOSITS,
    GIVEN,
    KINDS,
    MEANS,
    OWED,
    PAID_IN,
    Leg,
    act_legs,
    back_legs,
    balanced,
    credit_legs,
    invoice_legs,
)
from tappetry.records.problems import BadInput, OurFault, Refusal

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


class Till(RuleBasedStateMachine):
    """A customer who pays, is invoiced and credited, and gets back; acts are taken back, in any order."""

    def __init__(self) -> None:
        super().__init__()
        self.stands: dict[str, Decimal] = {}
        self.paid: list[tuple[str, tuple[Leg, ...]]] = []
        self.invoiced = NOTHING
        self.money = NOTHING

    def post(self, legs: tuple[Leg, ...]) -> None:
        for leg in legs:
            self.stands[leg.account] = self.stands.get(leg.account, NOTHING) + leg.amount

    @rule(kind=st.sampled_from(PAID_IN), means=st.sampled_from(sorted(MEANS)), cents=st.integers(1, 900))
    def pay(self, kind: str, means: str, cents: int) -> None:
        try:
            legs = act_legs(kind, Decimal(cents).scaleb(-2), means, self.stands)
        except BadInput:
            return
        self.post(legs)
        self.paid.append((kind, legs))
        self.money += Decimal(cents).scaleb(-2)

    @rule(kind=st.sampled_from(GIVEN), cents=st.integers(1, 900))
    def give_back(self, kind: str, cents: int) -> None:
        try:
            legs = act_legs(kind, Decimal(cents).scaleb(-2), "cash", self.stands)
        except BadInput:
            return
        self.post(legs)
        self.paid.append((kind, legs))
        self.money -= NOTHING if kind == "core-kept" else Decimal(cents).scaleb(-2)

    @rule(cents=st.integers(1, 1500))
    def invoice(self, cents: int) -> None:
        if not self.invoiced:
            self.invoiced = Decimal(cents).scaleb(-2)
            self.post(invoice_legs(_bill(self.invoiced), self.stands))

    @rule(percent=st.integers(1, 100))
    def credit(self, percent: int) -> None:
        total = (self.invoiced * percent / 100).quantize(NOTHING)
        if total:
            self.post(credit_legs(_bill(total), self.stands))
            self.invoiced -= total

    @rule(data=st.data())
    def take_back(self, data: st.DataObject) -> None:
        if not self.paid:
            return
        place = data.draw(st.integers(0, len(self.paid) - 1))
        kind, legs = self.paid[place]
        then = dict(self.stands)
        for leg in legs:
            then[leg.account] -= leg.amount
        gone = any(then.get(account, NOTHING) > 0 for account in OWED)
        too_much = then.get(CUSTOMERS, NOTHING) > max(self.invoiced, self.stands.get(CUSTOMERS, NOTHING))
        gets = any(leg.account in (CREDITS, DEPOSITS) and leg.amount > 0 for leg in legs)
        beside = gets and self.stands.get(CUSTOMERS, NOTHING) > 0
        try:
            back = back_legs(KINDS[kind].title, legs, self.stands, self.invoiced)
        except Refusal:
            assert gone or too_much or beside, "nothing speaks against it"
            return
        assert not gone
        assert not too_much
        assert not beside
        self.post(back)
        del self.paid[place]
        self.money -= sum((leg.amount for leg in legs if leg.account in MEANS.values()), NOTHING)

    @invariant()
    def all_of_it_balances(self) -> None:
        stands = self.stands
        assert sum(stands.values(), NOTHING) == 0
        assert all(stands.get(account, NOTHING) <= 0 for account in OWED), "the shop owes less than nothing"
        assert 0 <= stands.get(CUSTOMERS, NOTHING) <= self.invoiced, "no more is open than is invoiced"
        assert sum((stands.get(account, NOTHING) for account in MEANS.values()), NOTHING) == self.money


TestTill = Till.TestCase


def _bill(total: Decimal) -> Bill:
    """Something that comes to a total and is not taxed."""
    return Bill((), (TaxClass("parts", total, NOTHING, NOTHING),))


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
