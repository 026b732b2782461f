"""The one question to the checker: is this finished kit sound? Each fault, under the rule that says so.

Beside the ids of the shop's own rules and proofs there are these:

===================  =======================================================================================
in-catalogue         the line's part stands in the price list of the line's supplier
orderable            it is not discontinued, not replaced by another, and has a price
fits-engine          it is made for this engine
quantity             the line orders a whole number of units, 1 or more
price, cost          unit price and cost are those of the price list
line-total           units x unit price
as-listed            number, unit, tax class, lead time, core charge, return are those of the list
double-line          one part, one line
reason               the line names the need that it serves
use-from-box         of a box with several pieces the line names the right one
refused, pinned      the plan's refusals are not in the kit, its pins are
lead-time            the part comes by the day on which the plan wants it
known-need           lines and kept entries speak of needs that the shop knows
need-complete        every need that is there has a line or a written disposition
one-disposition      and only one of them
not-needed           nothing is bought or kept for a need that is not there
not-renewed          what need not be renewed is met as the need says
renewal              what is renewed is bought as long as a list carries a part that fits
fallback             what cannot be bought is met as is written down
own-part             the part that the customer brings is used
open-fact            a need that hangs on an unknown fact stays open
unknown              an unknown fact that a rule, proof or operation hangs on is listed
pieces               required and given pieces are reckoned right
pack-maths           the pieces given are enough
overbuy              no unit is too many
double-supply        nothing is bought twice, nor again beside the box that holds it
left-over            what is given and not required is listed as left over
one-kind             parts that share a place are alike
one-of-each          where one of each size is taken, every part has the size of its place
proof-record         the kit shows every proof with the verdict and value that its parts give
labour-missing       an operation that is to be done is charged
labour-extra         an operation that is not to be done is not
labour-twice         no operation is charged twice
labour-hours         hours are those of the book
labour-excluded      operations that exclude each other are not both charged
labour-requires      an operation comes with those that it needs
totals               every sum follows from lines, operations and the house book
===================  =======================================================================================
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from tappetry.catalogue.catalogue import Catalogue
from tappetry.kitting.checker.complaint import CheckComplaint
from tappetry.kitting.checker.fit import check_fit
from tappetry.kitting.checker.labour import check_labour
from tappetry.kitting.checker.laying import lay_out
from tappetry.kitting.checker.lines import check_lines, check_quantities
from tappetry.kitting.checker.money import check_money
from tappetry.kitting.checker.needs import check_needs
from tappetry.kitting.checker.packs import check_packs
from tappetry.knowledge.model import Knowledge
from tappetry.records.kit import Kit
from tappetry.records.plan import Plan


def check_kit(
    kit: Kit,
    fixed: Mapping[str, Any],
    plan: Plan,
    knowledge: Knowledge,
    catalogue: Catalogue,
    today: date | None = None,
) -> tuple[CheckComplaint, ...]:
    """Every fault of a priced kit; none means that it is sound.

    Parameters
    ----------
    kit : Kit
        The finished kit, with proofs, labour and totals.
    fixed : mapping of str to Any
        What does not depend on the choice of parts: the roots ``engine``, ``plan``, ``job``, ``limits`` and
        ``found_<need>``.
    plan : Plan
        Pins, refusals, own parts and the day on which everything is wanted.
    knowledge : Knowledge
        The shop's needs, rules, proofs, labour and house book.
    catalogue : Catalogue
        The price lists.
    today : date, optional
        The day of the order. Without it no line of a plan with a day can be said to come in time.

    Returns
    -------
    tuple of CheckComplaint
        In the order of lines, needs, fit, pieces, labour, money. Where a quantity is no number of units,
        nothing else can be reckoned, and nothing else is told.
    """
    unsound = tuple(check_quantities(kit))
    if unsound:
        return unsound
    layout = lay_out(kit, fixed, plan, knowledge, catalogue, today)
    return tuple(
        complaint
        for check in (check_lines, check_needs, check_fit, check_packs, check_labour, check_money)
        for complaint in check(layout)
    )
