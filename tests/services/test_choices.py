"""What a plan may choose: what exists for the engine, and nothing else."""

from __future__ import annotations

import pytest

from tappetry.jobs.reader import read_job
from tappetry.records.job import Job
from tappetry.services.choices import choices
from tappetry.services.kits import identify_job
from tests.kitting.support import APPLICATIONS, CAMS, DEACT, PHASER, Ask, demo


def offered(job: Job) -> dict[str, tuple[str, ...]]:
    """Every field with what it says now and what else it may say."""
    found = choices(demo(), job, identify_job(demo(), job))
    return {choice.field: (choice.now, *choice.others) for choice in found}


@pytest.mark.slow
@pytest.mark.parametrize("application", APPLICATIONS)
def test_phaser_and_deactivation_are_choices_only_where_they_are_fitted(
    application: str,
) -> None:
    phaser = "remove" if application in PHASER else "none"
    deact = "keep" if application in DEACT else "none"
    cams = CAMS[application[0]]
    found = offered(Ask(application, cams[0], phaser, deact).job())
    fitted = {"phaser": application in PHASER, "deact": application in DEACT}
    assert {field for field in fitted if field in found} == {
        field for field, is_fitted in fitted.items() if is_fitted
    }
    assert sorted(found.get("phaser", ())) in ([], ["keep-full", "keep-limited", "remove"])
    assert sorted(found.get("deact", ())) in ([], ["keep", "remove"])
    assert sorted(found.get("cam", cams)) == sorted(cams)


def test_heads_use_and_package_are_always_a_choice() -> None:
    found = offered(read_job(demo().jobs / "J5.yaml", demo().knowledge))
    assert found == {
        "heads": ("off", "on"),
        "use": ("street-strip", "daily", "tow", "track", "boosted"),
        "package": ("standard", "least", "best"),
    }


def test_a_plan_that_forgets_the_phaser_is_offered_what_may_happen_to_it() -> None:
    found = offered(Ask("A06", "B1", "none", "remove").job())
    assert found["phaser"] == ("none", "keep-full", "keep-limited", "remove")
