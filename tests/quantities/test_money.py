"""Money: exact to the cent, rounded as named, parted without loss."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Context, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.quantities.money import (
    Money,
    MoneyError,
    Rounding,
    allocate,
    margin,
    markup,
    price_for_margin,
    price_for_markup,
    tax,
    total,
)

CENTS = st.integers(-(10**12), 10**12)
RATES = st.decimals(-100, 100, places=5)
IN_DECIMAL = {Rounding.HALF_UP: ROUND_HALF_UP, Rounding.HALF_EVEN: ROUND_HALF_EVEN}
WIDE = Context(prec=60)


def usd(amount: str) -> Money:
    return Money.of(Decimal(amount), "USD")


@pytest.mark.parametrize(
    ("text", "cents", "shown"),
    [
        ("1,234.50", 123450, "$1,234.50"),
        ("1234.5", 123450, "$1,234.50"),
        ("$1,234.50", 123450, "$1,234.50"),
        ("USD 449", 44900, "$449.00"),
        (" 9.5 ", 950, "$9.50"),
        (".05", 5, "$0.05"),
        ("-$12.00", -1200, "-$12.00"),
        ("-0.01", -1, "-$0.01"),
        ("0", 0, "$0.00"),
        ("1,000,000", 100_000_000, "$1,000,000.00"),
    ],
)
def test_what_is_read_and_how_it_is_shown(text: str, cents: int, shown: str) -> None:
    money = Money.parse(text, "USD")
    assert money == Money(cents, "USD")
    assert str(money) == shown


def test_other_currencies() -> None:
    assert str(Money.parse("€1,234.50", "EUR")) == "€1,234.50"
    assert str(Money.parse("CHF 12", "CHF")) == "CHF 12.00"
    assert str(-Money.parse("CHF 12", "CHF")) == "-CHF 12.00"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("51,00", "cannot read '51,00' as money in USD, at character 3: a decimal comma; write 51.00"),
        (
            "1.234,50",
            "cannot read '1.234,50' as money in USD, at character 6: a decimal comma; write 1234.50",
        ),
        (
            "1,23,456",
            "cannot read '1,23,456' as money in USD, at character 2: "
            "a comma parts thousands only in groups of three digits, as in 92,000",
        ),
        ("", "cannot read '' as money in USD, at character 1: a number is missing"),
        ("nan", "cannot read 'nan' as money in USD, at character 1: not a finite number"),
        ("€5.00", "cannot read '€5.00' as money in USD, at character 1: a number has to stand here"),
        (
            "5.00 EUR",
            "cannot read '5.00 EUR' as money in USD, at character 5: ' EUR' is no part of an amount",
        ),
        ("(5.00)", "cannot read '(5.00)' as money in USD, at character 1: a number has to stand here"),
        ("5.00-", "cannot read '5.00-' as money in USD, at character 5: '-' is no part of an amount"),
        ("5e2", "cannot read '5e2' as money in USD, at character 2: a power of ten; write the number out"),
        ("4.875", "4.875 USD holds a fraction of a cent; name a rounding"),
    ],
)
def test_what_is_refused(text: str, message: str) -> None:
    with pytest.raises(MoneyError) as caught:
        Money.parse(text, "USD")
    assert str(caught.value) == message


@given(cents=CENTS)
def test_shown_and_read_again(cents: int) -> None:
    money = Money(cents, "USD")
    assert Money.parse(str(money), "USD") == money
    assert Money.of(money.amount, "USD") == money
    assert str(money.amount) == f"{'-' if cents < 0 else ''}{abs(cents) // 100}.{abs(cents) % 100:02d}"


def test_arithmetic() -> None:
    assert usd("5.20") * 12 == 12 * usd("5.20") == usd("62.40")
    assert usd("10") - usd("12.50") == usd("-2.50")
    assert -usd("45.00") + usd("60.00") == usd("15")
    assert usd("1.99") < usd("2.00") <= usd("2.00")
    assert sorted([usd("3"), usd("1"), usd("2")]) == [usd("1"), usd("2"), usd("3")]
    assert total([], "USD") == Money(0, "USD")
    assert total([usd("0.10")] * 3, "USD") == usd("0.30")  # 0.30000000000000004 in floating point


@given(first=st.lists(CENTS), pieces=st.integers(-1000, 1000))
def test_sums_are_right_to_the_cent(first: list[int], pieces: int) -> None:
    amounts = [Money(cents, "USD") for cents in first]
    assert total(amounts, "USD").cents == sum(first)
    assert total([amount * pieces for amount in amounts], "USD") == total(amounts, "USD") * pieces


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (
            lambda: usd("5") + Money(500, "EUR"),
            "cannot add $5.00 (USD) and €5.00: not the same currency",
        ),
        (lambda: usd("5") < Money(500, "EUR"), "cannot compare $5.00 (USD) and €5.00: not the same currency"),
        (lambda: usd("5") - Decimal(1), "cannot subtract $5.00 (USD) and 1: not the same currency"),
        (
            lambda: usd("5") * 1.5,
            "$5.00 times 1.5: no whole number; for a Decimal rate use times()",
        ),
        (lambda: usd("5") * True, "$5.00 times True: no whole number; for a Decimal rate use times()"),
        (lambda: usd("5").times(1.5), "1.5 is a float; money takes Decimal and int only"),
        (lambda: usd("5").times(Decimal("NaN")), "NaN is not a finite number"),
        (lambda: Money.of(4.99, "USD"), "4.99 is a float; money takes Decimal and int only"),
        (lambda: Money(4.0, "USD"), "4.0 is no whole number of cents"),
        (lambda: Money(4, "usd"), "'usd' is no currency code; write three capital letters, as in USD"),
        (lambda: Money(4, "JPY"), "JPY does not have two decimals; only currencies with cents are kept"),
    ],
)
def test_what_cannot_be_calculated(act, message: str) -> None:
    with pytest.raises(MoneyError) as caught:
        act()
    assert str(caught.value) == message


# --- rounding ------------------------------------------------------------------------------------------


@given(cents=CENTS, rate=RATES, rounding=st.sampled_from(list(Rounding)))
def test_rounding_is_that_of_the_decimal_library(cents: int, rate: Decimal, rounding: Rounding) -> None:
    exact = WIDE.multiply(Decimal(cents), rate)
    expected = int(exact.quantize(Decimal(1), rounding=IN_DECIMAL[rounding], context=WIDE))
    assert Money(cents, "USD").times(rate, rounding).cents == expected


@pytest.mark.parametrize(
    ("amount", "half_up", "half_even"),
    [
        ("0.005", 1, 0),
        ("0.015", 2, 2),
        ("0.025", 3, 2),
        ("0.0249", 2, 2),
        ("0.0251", 3, 3),
        ("-0.005", -1, 0),
        ("-0.025", -3, -2),
        ("1.005", 101, 100),  # 1.00 in binary floating point
        ("2.675", 268, 268),  # 2.67 in binary floating point
    ],
)
def test_halves_go_up_away_from_zero_or_to_the_even_cent(amount: str, half_up: int, half_even: int) -> None:
    # Commercial rounding as in DIN 1333 (a five goes away from zero); from memory.
    assert Money.of(Decimal(amount), "USD", Rounding.HALF_UP).cents == half_up
    assert Money.of(Decimal(amount), "USD", Rounding.HALF_EVEN).cents == half_even


@pytest.mark.parametrize(
    ("euro", "rate", "national"),
    [("1.00", "1.95583", "1.96"), ("50.00", "1.95583", "97.79"), ("150.00", "6.55957", "983.94")],
)
def test_conversions_at_the_fixed_rates_of_the_euro(euro: str, rate: str, national: str) -> None:
    # Council Regulation (EC) 1103/97, articles 4 and 5: fixed rates of six figures, result rounded once to
    # the nearest cent, up where exactly half way. Rates of the mark and the franc from memory; the second
    # product is 97.7915, the third 983.9355.
    assert Money.of(Decimal(euro), "EUR").times(Decimal(rate)).amount == Decimal(national)


def test_default_is_commercial_rounding() -> None:
    assert usd("0.50").times(Decimal("0.05")) == usd("0.03")
    assert usd("0.50").times(Decimal("0.05"), Rounding.HALF_EVEN) == usd("0.02")


# --- tax -----------------------------------------------------------------------------------------------


def test_tax_is_rounded_once_for_each_class() -> None:
    lines = [usd("0.10")] * 3
    rate = Decimal("0.0725")
    assert total([line.times(rate) for line in lines], "USD") == usd("0.03")  # what a tax by line would be
    taxes = tax(
        {"parts": total(lines, "USD"), "labour": usd("118.00")}, {"parts": rate, "labour": Decimal(0)}
    )
    assert taxes == {"parts": usd("0.02"), "labour": usd("0.00")}


def test_tax_takes_a_rounding_and_credits() -> None:
    half_cent = {"core": usd("0.10")}
    assert tax(half_cent, {"core": Decimal("0.05")}) == {"core": usd("0.01")}
    assert tax(half_cent, {"core": Decimal("0.05")}, Rounding.HALF_EVEN) == {"core": usd("0.00")}
    assert tax({"core": usd("-45.00")}, {"core": Decimal("0.0725")}) == {"core": usd("-3.26")}
    assert tax({}, {"core": Decimal("0.05")}) == {}


def test_tax_refuses_missing_and_impossible_rates() -> None:
    with pytest.raises(MoneyError) as caught:
        tax({"oil": usd("5")}, {"parts": Decimal("0.0725"), "labour": Decimal(0)})
    assert str(caught.value) == "no tax rate for class 'oil'; there are rates for parts, labour"
    with pytest.raises(MoneyError) as caught:
        tax({"parts": usd("5")}, {"parts": Decimal("7.25")})
    assert str(caught.value) == "tax rate of 'parts' is 7.25, outside 0 to 1; write 7.25 % as 0.0725"


# --- parting -------------------------------------------------------------------------------------------


def test_largest_remainders_of_a_textbook_election() -> None:
    # The common example of the largest-remainder method with the Hare quota: ten seats; from memory.
    votes = [47_000, 16_000, 15_900, 12_000, 6_000, 3_100]
    assert [share.cents for share in allocate(Money(10, "USD"), votes)] == [5, 2, 1, 1, 1, 0]


def test_parting_by_hand() -> None:
    assert allocate(usd("100.00"), [1, 1, 1]) == (usd("33.34"), usd("33.33"), usd("33.33"))
    assert allocate(usd("-0.05"), [Decimal("0.5"), Decimal("0.5")]) == (usd("-0.03"), usd("-0.02"))
    assert allocate(usd("9.00"), [0, 2, 1]) == (usd("0"), usd("6.00"), usd("3.00"))


@given(cents=CENTS, weights=st.lists(st.integers(0, 10**9), min_size=1).filter(any))
def test_shares_add_up_and_are_within_a_cent_of_what_is_due(cents: int, weights: list[int]) -> None:
    shares = allocate(Money(cents, "USD"), weights)
    assert total(shares, "USD").cents == cents
    for share, weight in zip(shares, weights, strict=True):
        assert abs(share.cents - Fraction(cents * weight, sum(weights))) < 1


@pytest.mark.parametrize(("weights", "shown"), [([], ""), ([0, 0], "0, 0"), ([2, -1], "2, -1"), ([-1], "-1")])
def test_parting_refuses_senseless_weights(weights: list[int], shown: str) -> None:
    with pytest.raises(MoneyError) as caught:
        allocate(usd("9"), weights)
    assert str(caught.value) == f"cannot part $9.00 by ({shown}): weights are 0 or more, and not all 0"


# --- margin and markup ---------------------------------------------------------------------------------


def test_margin_is_not_markup() -> None:
    cost, rate = usd("1500.00"), Decimal("0.35")
    by_margin, by_markup = price_for_margin(cost, rate), price_for_markup(cost, rate)
    assert by_margin == usd("2307.69")  # 1500 / 0.65 = 2307.692...
    assert by_markup == usd("2025.00")  # 1500 * 1.35
    assert by_margin - by_markup == usd("282.69")
    assert round(margin(cost, by_markup), 3) == Decimal("0.259")
    assert markup(cost, by_markup) == rate


@given(cost=st.integers(1, 10**9), profit=st.integers(0, 10**9))
def test_margin_and_markup_tell_the_same_profit(cost: int, profit: int) -> None:
    buy, sell = Money(cost, "USD"), Money(cost + profit, "USD")
    assert margin(buy, sell) == pytest.approx(
        markup(buy, sell) / (1 + markup(buy, sell)), rel=Decimal("1e-25")
    )
    assert price_for_markup(buy, markup(buy, sell)) == sell


@given(cost=st.integers(1, 10**9), rate=st.decimals(0, Decimal("0.99"), places=4))
def test_price_for_margin_earns_it_to_half_a_cent(cost: int, rate: Decimal) -> None:
    price = price_for_margin(Money(cost, "USD"), rate)
    assert abs(price.cents * (1 - Fraction(rate)) - cost) <= (1 - Fraction(rate)) / 2


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (
            lambda: price_for_margin(usd("5"), Decimal(1)),
            "margin of 1 would need an endless price; it has to be below 1",
        ),
        (
            lambda: price_for_margin(usd("5"), Decimal(35)),
            "margin is 35, outside 0 to 1; write 7.25 % as 0.0725",
        ),
        (lambda: price_for_markup(usd("5"), Decimal("-0.1")), "markup of -0.1 is below 0"),
        (lambda: margin(usd("5"), usd("0")), "no margin on $0.00: it has to be above zero"),
        (lambda: markup(usd("0"), usd("5")), "no markup on $0.00: it has to be above zero"),
    ],
)
def test_what_has_no_margin(act, message: str) -> None:
    with pytest.raises(MoneyError) as caught:
        act()
    assert str(caught.value) == message
