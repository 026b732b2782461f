"""A writer that is killed in the middle of its work: no accepted act is missing, and there is no half job."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy import func, select

from tappetry.store.database import Database
from tappetry.store.dump import content, lines, load
from tappetry.store.jobs import job_now
from tappetry.store.models import FACTS, PLAN, SHEET, Entry, JobRow, KitRow, QuoteRow, Version
from tests.databases import Databases
from tests.effort import soaks

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[2]
#: How often a writer is killed; `make soak` draws many more examples of everything.
TIMES = 200 if soaks() else 5


def killed(database: Database, name: str, after: int) -> list[str]:
    """What two writers have said was kept until both were killed, some acts after they began."""
    url = database.url.render_as_string(hide_password=False)
    words = [sys.executable, "-m", "tests.store.writer", url]
    writers = [
        subprocess.Popen([*words, f"{name}{who}"], cwd=ROOT, stdout=subprocess.PIPE, text=True)
        for who in "ab"
    ]
    said: list[str] = []
    for writer in writers:
        assert writer.stdout is not None
        said += [writer.stdout.readline() for _ in range(after)]
    for writer in writers:
        writer.kill()
    for writer in writers:
        assert writer.stdout is not None
        said += writer.stdout.readlines()  # not communicate(), which forgets what readline() read ahead
        writer.stdout.close()
        writer.wait(timeout=20)
    return [line.strip() for line in said if line.endswith("\n")]


def holds(database: Database, said: list[str], name: str = "") -> None:
    """Every act that was called kept is there, and no job is half there whose number begins with a name."""
    with database.reading() as session:
        for line in said:
            number, act = line.split()
            job = job_now(session, number)
            assert act == "opened" or job.versions[PLAN] == 2, line
            assert act != "quoted" or job.state == "quoted", line
        for row in session.scalars(select(JobRow).where(JobRow.number.startswith(name))):
            versions = [
                session.scalar(select(func.count()).where(Version.job_id == row.id, Version.part == part))
                for part in (SHEET, FACTS, PLAN)
            ]
            kits, quotes = (
                session.scalar(select(func.count()).where(table.job_id == row.id))
                for table in (KitRow, QuoteRow)
            )
            acts = session.scalar(select(func.count()).where(Entry.job_id == row.id))
            assert versions == [1, 1, row.plan_version], row.number
            assert (kits, quotes) == ((1, 1) if row.state == "quoted" else (0, 0)), row.number
            assert acts == row.plan_version + 2 * (row.state == "quoted"), row.number


def test_no_accepted_act_is_lost_and_no_job_is_half_there(
    database: Database, all_databases: Databases
) -> None:
    said: list[str] = []
    for time in range(TIMES):
        just = killed(database, f"K{time}", 1 + 3 * time % 14)
        holds(database, just, f"K{time}")
        said += just
    holds(database, said)
    assert len(said) > 2 * TIMES
    with database.reading() as session:
        assert session.scalar(select(func.count()).select_from(JobRow)) >= len(
            {each.split()[0] for each in said}
        )
    copy = all_databases.new("sqlite")
    assert load(copy, lines(database)) == content(database)
    copy.close()
