"""One small module per page; each has a ``router`` with its addresses."""

from tappetry.web.pages import facts, jobs, kit, papers, plan, proof

#: The pages of the app.
ALL = (jobs.router, facts.router, plan.router, kit.router, proof.router, papers.router)
