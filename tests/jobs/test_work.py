"""A plan names a camshaft that goes in, or the work that is asked for where it stays: one of the two."""

from __future__ import annotations

import pytest

from tappetry.jobs.reader import read_job_text
from tappetry.records.job import Job
from tappetry.records.problems import BadInput
from tests.kitting.support import demo

HEAD = 'job: T1\ndate: "2026-03-02"\nfacts: {}\nplan: '


def job(plan: str) -> Job:
    return read_job_text(HEAD + plan, demo().knowledge, "T1.yaml")[0]


def test_a_plan_names_a_camshaft_or_work() -> None:
    conversion, work = job("{cam: B1}").plan, job("{work: [springs, front-reseal]}").plan
    assert (conversion.cam, conversion.work, conversion.conversion) == ("B1", (), True)
    assert (work.cam, work.work, work.conversion) == ("", ("springs", "front-reseal"), False)


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        (
            "{heads: 'on'}",
            'T1.yaml:4, plan: none of cam, work is stated (read: {"heads": "on"}); expected only one of cam, '
            "work: cam names the camshaft that goes in, work what is asked for where the camshaft stays",
        ),
        (
            "{cam: B1, work: [springs]}",
            "T1.yaml:4, plan: more than one of cam, work is stated (read: "
            '{"cam": "B1", "work": ["springs"]}); expected only one of cam, work: cam names',
        ),
        ("{work: []}", "T1.yaml:4, plan.work: [] has less than 1 item"),
        ("{work: [springs, springs]}", "has non-unique elements"),
        (
            "{work: [reseel]}",
            "T1.yaml:4, plan.work[0]: there is no such work (read: reseel); expected one of springs, "
            "lifter-repair, front-reseal, valley-reseal",
        ),
        ("{work: [spring]}", "there is no such work (read: spring); did you mean springs?"),
    ],
)
def test_neither_both_and_what_the_house_does_not_know_are_refused(plan: str, said: str) -> None:
    with pytest.raises(BadInput) as told:
        job(plan)
    assert said in str(told.value)
