"""One small module per page; each has a ``router`` with its addresses."""

from tappetry.web.pages import (
    agreements,
    calculators,
    facts,
    families,
    jobs,
    kit,
    papers,
    parts,
    plan,
    proof,
    shop,
    today,
)

#: The pages of the app.
ALL = (
    today.router,
    jobs.router,
    facts.router,
    plan.router,
    kit.router,
    proof.router,
    papers.router,
    agreements.router,
    parts.router,
    families.router,
    calculators.router,
    shop.router,
)
