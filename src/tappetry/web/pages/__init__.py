"""One small module per page; each has a ``router`` with its addresses."""

from tappetry.web.pages import (
    access,
    agreements,
    calculators,
    cam_search,
    cams,
    customer,
    customers_page,
    facts,
    families,
    jobs,
    kit,
    money,
    papers,
    parts,
    plan,
    proof,
    shop,
    today,
)

#: The pages of the app.
ALL = (
    access.router,
    today.router,
    jobs.router,
    facts.router,
    plan.router,
    cams.router,
    kit.router,
    proof.router,
    papers.router,
    agreements.router,
    customer.router,
    customers_page.router,
    money.router,
    parts.router,
    families.router,
    cam_search.router,
    calculators.router,
    shop.router,
)
