"""All pages of the app together; reading them takes longer than showing the first one."""

from __future__ import annotations

from tappetry.web.pages import (
    access,
    agreements,
    bill,
    bills,
    calculators,
    cam_search,
    cams,
    customer,
    customers_page,
    days,
    facts,
    families,
    jobs,
    kit,
    machine,
    money,
    papers,
    parts,
    people,
    plan,
    prices,
    privacy,
    proof,
    searched,
    shop,
    texts,
    today,
)

#: The pages that nobody needs before the first one is shown.
LATER = (
    access.router,
    jobs.router,
    people.router,
    privacy.router,
    facts.router,
    plan.router,
    cams.router,
    kit.router,
    days.router,
    proof.router,
    papers.router,
    machine.router,
    agreements.router,
    customer.router,
    customers_page.router,
    bill.router,
    bills.router,
    money.router,
    parts.router,
    prices.router,
    families.router,
    cam_search.router,
    searched.router,
    calculators.router,
    shop.router,
    texts.router,
)

#: The pages of the app.
ALL = (today.router, *LATER)
