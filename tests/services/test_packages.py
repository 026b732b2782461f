"""The packages of the house beside each other: each gives at least what the one before it gives."""

from __future__ import annotations

import pytest

from tappetry.jobs.reader import read_job
from tappetry.records.kit import Kit
from tappetry.services.sides import packages
from tests.kitting.support import demo

#: Met by something that is new, or made as good as new.
RENEWED = ("shop stock", "by hand", "outside service", "customer's own")


def kits(job: str) -> list[Kit]:
    shop = demo()
    found = [side.kit for side in packages(shop, read_job(shop.jobs / f"{job}.yaml", shop.knowledge))]
    assert None not in found
    return [kit for kit in found if kit is not None]


def renewed(kit: Kit) -> set[str]:
    """The needs that a kit renews."""
    bought = {filled.need for line in kit.lines for filled in line.needs}
    return bought | {kept.need for kept in kit.kept if kept.state in RENEWED}


@pytest.mark.slow
@pytest.mark.parametrize("job", ["J1", "J3", "J5"])
def test_a_better_package_renews_all_that_a_lesser_one_does(job: str) -> None:
    least, standard, best = kits(job)
    assert renewed(least) <= renewed(standard) <= renewed(best)


@pytest.mark.slow
@pytest.mark.parametrize("job", ["J1", "J3", "J5"])
def test_a_better_package_costs_and_takes_no_less(job: str) -> None:
    totals = [kit.totals for kit in kits(job)]
    figures = [(each.total, each.hours) for each in totals if each is not None]
    assert figures == sorted(figures)
    assert [hours for _, hours in figures] == sorted(hours for _, hours in figures)


def test_the_packages_stand_in_the_order_of_the_house_book() -> None:
    shop = demo()
    sides = packages(shop, read_job(shop.jobs / "J3.yaml", shop.knowledge))
    assert [(side.name, side.title) for side in sides] == [
        ("least", "least that is right"),
        ("standard", "shop standard"),
        ("best", "no compromise"),
    ]
    assert [side.job.plan.package for side in sides] == ["least", "standard", "best"]
