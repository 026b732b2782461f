"""The books of a shop in double entry: which act moves money from where to where; every posting balances.

An amount on an account is a debit where it is positive, a credit where it is negative: what the shop has, or
is owed, is positive; what it owes, and what it earned, is negative.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from tappetry.pricing.bill import Bill
from tappetry.records.problems import BadInput, Ground, OurFault, Refusal, Where

#: What customers owe by invoices.
CUSTOMERS = "customers"
#: What they paid in advance, what they left for an old part to come back, what they paid too much: all owed.
DEPOSITS, CORES_HELD, CREDITS = "deposits of customers", "core deposits of customers", "credits of customers"
#: What the shop owes to suppliers; what it bought; what it left with them for old parts.
SUPPLIERS, PURCHASES, CORES_LEFT = "suppliers", "purchases", "core deposits at suppliers"
#: What was earned, followed by its tax class; what of it is owed to the state.
SALES, TAX = "sales", "tax owed"
#: The accounts on which a customer stands with the shop.
OF_CUSTOMERS = (CUSTOMERS, DEPOSITS, CORES_HELD, CREDITS)
#: Those of them on which the shop owes.
OWED = (DEPOSITS, CORES_HELD, CREDITS)
#: Where money lies, by how it comes and goes.
MEANS = {"cash": "cash", "card": "card terminal", "transfer": "bank"}
#: In an act stands this for the account of the means.
MONEY = "money"
#: The acts by which a customer pays.
PAID_IN = ("deposit", "payment", "core-taken")
#: The acts by which what stands on his accounts goes back to him, or is kept.
GIVEN = ("refund", "deposit-back", "core-back", "core-kept")
NOTHING = Decimal("0.00")
#: The most that one act moves: a longer number is none of an amount, and sums stay within what is kept.
MOST = Decimal("99999999.99")


@dataclass(frozen=True, slots=True)
class Leg:
    """One side of a posting: an account and what it gains."""

    account: str
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of act with money: from which account to which.

    ``limited`` names the account that has to hold so much before; empty where nothing limits the act.
    ``over`` names the account that takes what is more than ``credit`` stands at. ``clear`` names an account
    on which nothing may stand. ``rests`` names the kinds of which there is at least as much with a supplier.
    """

    title: str
    debit: str
    credit: str
    limited: str = ""
    over: str = ""
    clear: str = ""
    supplier: bool = False
    rests: tuple[str, ...] = ()


KINDS: Mapping[str, Kind] = {
    "deposit": Kind("deposit from the customer", MONEY, DEPOSITS, clear=CUSTOMERS),
    "payment": Kind("payment from the customer", MONEY, CUSTOMERS, over=CREDITS),
    "refund": Kind("money given back to the customer", CREDITS, MONEY, CREDITS),
    "deposit-back": Kind("deposit given back", DEPOSITS, MONEY, DEPOSITS),
    "core-taken": Kind("core deposit from the customer", MONEY, CORES_HELD),
    "core-back": Kind("core deposit given back, the old part came", CORES_HELD, MONEY, CORES_HELD),
    "core-kept": Kind("core deposit kept, the old part did not come", CORES_HELD, CORES_LEFT, CORES_HELD),
    "bill": Kind("supplier's invoice", PURCHASES, SUPPLIERS, supplier=True),
    "bill-core": Kind("core deposit on a supplier's invoice", CORES_LEFT, SUPPLIERS, supplier=True),
    "bill-paid": Kind(
        "supplier paid", SUPPLIERS, MONEY, SUPPLIERS, supplier=True, rests=("bill", "bill-core")
    ),
    "returned": Kind(
        "parts sent back to a supplier", SUPPLIERS, PURCHASES, PURCHASES, supplier=True, rests=("bill",)
    ),
    "core-sent": Kind(
        "old part sent to a supplier", SUPPLIERS, CORES_LEFT, CORES_LEFT, supplier=True, rests=("bill-core",)
    ),
    "supplier-credit": Kind(
        "money back from a supplier",
        MONEY,
        SUPPLIERS,
        SUPPLIERS,
        supplier=True,
        rests=("returned", "core-sent"),
    ),
}
#: The acts between the shop and a supplier.
WITH_SUPPLIERS = tuple(name for name, kind in KINDS.items() if kind.supplier)


def balanced(legs: Iterable[Leg]) -> tuple[Leg, ...]:
    """The legs of a posting without those of nothing.

    Raises
    ------
    OurFault
        They do not add up to nothing.
    """
    kept = tuple(leg for leg in legs if leg.amount)
    over = sum((leg.amount for leg in kept), NOTHING)
    if over:
        raise OurFault(f"a posting does not balance: {over} over", {"legs": [str(leg) for leg in kept]})
    return kept


def act_legs(kind: str, amount: Decimal, means: str, balances: Mapping[str, Decimal]) -> tuple[Leg, ...]:
    """The posting of an act with money.

    Parameters
    ----------
    kind : str
        One of ``KINDS``.
    amount : Decimal
        More than 0 and up to ``MOST``, in whole cents.
    means : str
        One of ``MEANS``; read only where money moves.
    balances : mapping of str to Decimal
        What stands on the accounts that may limit the act.

    Raises
    ------
    BadInput
        There is no such kind or means, or the amount is not sound or more than the account holds; a payment
        comes before an invoice.
    """
    if kind not in KINDS:
        raise BadInput.at(Where(field="kind"), "there is no such act with money", kind, ", ".join(KINDS))
    act = KINDS[kind]
    if MONEY in (act.debit, act.credit) and means not in MEANS:
        raise BadInput.at(Where(field="means"), "money comes and goes in some way", means, ", ".join(MEANS))
    if not 0 < amount <= MOST:
        raise BadInput.at(
            Where(field="amount"), "the amount is not sound", amount, f"more than 0, up to {MOST}"
        )
    if act.clear and balances.get(act.clear):
        raise BadInput.at(
            Where(field="kind"), f"{act.title}: an invoice is open; this is a payment on it", kind, "payment"
        )
    if act.over and not _was_invoiced(balances):
        raise BadInput.at(
            Where(field="kind"), f"{act.title}: nothing is invoiced; this is a deposit", kind, "deposit"
        )
    if act.limited:
        held = balances.get(act.limited, NOTHING)
        most = held if act.limited == act.credit else -held
        if amount > most:
            raise BadInput.at(
                Where(field="amount"),
                f"{act.title}: more than stands on '{act.limited}'",
                amount,
                f"at most {max(most, NOTHING)}",
            )
    where = {MONEY: MEANS.get(means, "")}
    over = max(amount - balances.get(act.credit, NOTHING), NOTHING) if act.over else NOTHING
    return balanced(
        (
            Leg(where.get(act.debit, act.debit), amount),
            Leg(where.get(act.credit, act.credit), over - amount),
            Leg(act.over, -over),
        )
    )


def with_supplier(balances: Mapping[str, Decimal], alone: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """What stands with one supplier, out of what stands on a job and on his postings alone.

    Core deposits that were kept of a customer draw on what lies with suppliers, whichever it is: no more is
    left with one than with all.
    """
    left = min(balances.get(CORES_LEFT, NOTHING), alone.get(CORES_LEFT, NOTHING))
    return {**alone, CORES_LEFT: max(left, NOTHING)}


def _was_invoiced(balances: Mapping[str, Decimal]) -> bool:
    """Whether there ever was an invoice; one that a deposit paid whole left nothing with the customer."""
    return any(account == CUSTOMERS or account.startswith(f"{SALES}: ") for account in balances)


def back_legs(
    title: str, legs: Iterable[Leg], balances: Mapping[str, Decimal], invoiced: Decimal
) -> tuple[Leg, ...]:
    """The posting that takes back what a customer paid, or what went back or was kept: its exact reverse.

    Parameters
    ----------
    title : str
        What is taken back, for what is said where it cannot be.
    legs : iterable of Leg
        As it was posted.
    balances : mapping of str to Decimal
        What stands on the accounts now.
    invoiced : Decimal
        What is invoiced and not credited.

    Raises
    ------
    Refusal
        What it brought was given back, kept or set off since, so that the shop would owe less than nothing;
        or the customer would owe more than is invoiced; or he would have a deposit or credit beside an
        invoice that is open.
    """
    back = _reverse(legs)
    for leg in back:
        stands = balances.get(leg.account, NOTHING)
        then = stands + leg.amount
        open_now = balances.get(CUSTOMERS, NOTHING)
        if leg.account in (DEPOSITS, CREDITS) and leg.amount < 0 and open_now > 0:
            raise Refusal(
                f"The {title} cannot be taken back: {-leg.amount} would stand to the customer's favour "
                "beside an invoice that is open.",
                [Ground(f"{open_now} is open by an invoice that came since", "the books of the job")],
                [f"write down a payment of {-leg.amount} in the same way: it goes on the invoice"],
            )
        if leg.account in OWED and then > 0:
            raise Refusal(
                f"The {title} cannot be taken back: {then} of it was given back, kept or set off since.",
                [
                    Ground(
                        f"'{leg.account}' holds {-stands}, and {leg.amount} would go", "the books of the job"
                    )
                ],
                [
                    "where it was given back already, the books hold nothing of it any more; was that typed "
                    "wrongly as well, take it back first",
                    "where an invoice set it off: credit the invoice, write down that the money went back, "
                    "and write the invoice anew",
                ],
            )
        if leg.account == CUSTOMERS and then > invoiced:
            credit = -balances.get(CREDITS, NOTHING)
            raise Refusal(
                f"The {title} cannot be taken back: the customer would owe {then}, and {invoiced} is "
                "invoiced and not credited.",
                [Ground(f"a credit note put {credit} to the customer's credit", "the books of the job")],
                ["write down that what stands to the customer's credit went back in the same way"],
            )
    return back


def supplier_back_legs(kind: str, legs: Iterable[Leg], moved: Mapping[str, Decimal]) -> tuple[Leg, ...]:
    """The posting that takes back what moved between the shop and a supplier: its exact reverse.

    Parameters
    ----------
    kind : str
        One of ``WITH_SUPPLIERS``.
    legs : iterable of Leg
        As it was posted.
    moved : mapping of str to Decimal
        How much of each kind moved with this supplier on the job and was not taken back, this act included.

    Raises
    ------
    Refusal
        What moved since rests on it: more would be paid than invoiced, more sent back than bought, or more
        money come back than parts went.
    """
    back = _reverse(legs)
    amount = sum((leg.amount for leg in back if leg.amount > 0), NOTHING)
    for name, act in KINDS.items():
        if kind not in act.rests:
            continue
        came = moved.get(name, NOTHING)
        left = sum((moved.get(each, NOTHING) for each in act.rests), NOTHING) - amount
        if came > left:
            below = " and ".join(f"'{KINDS[each].title}'" for each in act.rests)
            raise Refusal(
                f"The {KINDS[kind].title}: {amount} cannot be taken back: {came - left} of '{act.title}' "
                "rests on it.",
                [
                    Ground(
                        f"'{act.title}' comes to {came} with this supplier, and {left} of {below} would be "
                        "left",
                        "the books of the job",
                    )
                ],
                [
                    "write the right one down first, then take this one back",
                    f"was '{act.title}' typed wrongly as well, take it back first",
                ],
            )
    return back


def _reverse(legs: Iterable[Leg]) -> tuple[Leg, ...]:
    return balanced(Leg(leg.account, -leg.amount) for leg in legs)


def invoice_legs(made: Bill, balances: Mapping[str, Decimal]) -> tuple[Leg, ...]:
    """The posting of an invoice.

    What the customer paid in advance, and what he has to his credit, is set off: here a deposit becomes
    payment. What is over stays to his credit.
    """
    deposit, credit = (-balances.get(name, NOTHING) for name in (DEPOSITS, CREDITS))
    over = max(deposit + credit - made.total, NOTHING)
    return balanced(
        (
            Leg(CUSTOMERS, made.total - deposit - credit + over),
            Leg(DEPOSITS, deposit),
            Leg(CREDITS, credit - over),
            *(Leg(f"{SALES}: {each.name}", -each.net) for each in made.classes),
            Leg(TAX, -made.tax),
        )
    )


def credit_legs(made: Bill, balances: Mapping[str, Decimal]) -> tuple[Leg, ...]:
    """The posting of a credit note: less is owed; what is paid already stands to the customer's credit."""
    open_now = min(made.total, balances.get(CUSTOMERS, NOTHING))
    return balanced(
        (
            Leg(CUSTOMERS, -open_now),
            Leg(CREDITS, open_now - made.total),
            *(Leg(f"{SALES}: {each.name}", each.net) for each in made.classes),
            Leg(TAX, made.tax),
        )
    )
