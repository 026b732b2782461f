"""Facts that nobody knows: each becomes an open place that names it, or a refusal that does."""

from __future__ import annotations

from functools import cache

from tappetry.jobs.reader import read_job
from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.services.kits import kit_for_job
from tests.kitting.support import bought, demo, state_of
from tests.kitting.unstated import shop_that_does_not_say, shop_with_a_match


@cache
def job_of(name: str) -> Job:
    return read_job(demo().jobs / f"{name}.yaml", demo().knowledge)


def hangs_on(kit: Kit, attribute: str) -> tuple[str, ...]:
    """What hangs on a fact that is not known."""
    return next((unknown.hangs_on_it for unknown in kit.unknowns if unknown.attribute == attribute), ())


# ---- whose the missing value is ---------------------------------------------------------------------------


def test_a_part_is_not_blamed_for_what_a_missing_fact_would_settle() -> None:
    """Head bolts of an engine with plain holes state no length class, and need none."""
    kit = kit_for_job(shop_that_does_not_say("head-bolt-class"), job_of("J5")).kit
    assert state_of(kit, "head-bolts-main") == "open"
    assert "head-bolts-main" in hangs_on(kit, "head-bolt-class")


def test_a_part_is_blamed_when_no_fact_is_missing() -> None:
    shop = shop_with_a_match("oil-filter", "oil_filter.bypass == 'yes'")
    kit = kit_for_job(shop, job_of("J3")).kit
    assert "WDW-FLT7" not in bought(kit)
    assert state_of(kit, "oil-filter") == "shop stock"


def test_a_rule_that_may_not_apply_rules_nobody_out() -> None:
    """Whether the rule speaks of this job hangs on a fact; until it is known, the place is open."""
    shop = shop_with_a_match("oil-filter", "false", when="engine.exhaust == 'headers'")
    kit = kit_for_job(shop, job_of("J3")).kit
    assert state_of(kit, "oil-filter") == "open"
    assert hangs_on(kit, "exhaust") == ("oil-filter",)
