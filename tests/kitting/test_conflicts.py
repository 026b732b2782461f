"""What cannot hold together in a request is named, with whose it is."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from tappetry.kitting.conflicts import core_of
from tappetry.kitting.request import Request
from tappetry.services.kits import identify_job, request_of
from tests.kitting.support import Ask, demo


def request(folder: Path, ask: Ask) -> Request:
    """The question of a plan to the solver."""
    job = ask.job(folder)
    return request_of(demo(), job, identify_job(demo(), job))


def test_the_customers_wish_is_named_first(tmp_path: Path) -> None:
    asked = request(tmp_path, Ask("A03", "B1"))
    pinned = replace(asked, plan=replace(asked.plan, pins=("PG-98-130",)))
    first = core_of(pinned).grounds[0]
    assert first.text == "the plan pins PG-98-130"
    assert first.owner == "job A03-B1"
