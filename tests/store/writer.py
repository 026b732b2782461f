"""Writes jobs without end and says after each act that it was kept; made to be killed in the middle.

Each job is opened, changed and quoted, in one transaction each; a line on standard output names what the
database has accepted.
"""

from __future__ import annotations

import os
import sys
from itertools import count

from tappetry.store.database import Database
from tappetry.store.jobs import add_job, change_job
from tappetry.store.models import PLAN
from tappetry.store.quotes import keep_kit, keep_quote
from tests.store.documents import act, document, kit, paper


def say(number: str, done: str) -> None:
    """One whole line in one write, so that no reader ever sees a part of it."""
    os.write(sys.stdout.fileno(), f"{number} {done}\n".encode())


def write(url: str, name: str) -> None:
    """Write until somebody pulls the plug."""
    database = Database(url)
    for place in count():
        number = f"{name}-{place}"
        with database.writing() as session:
            job = add_job(session, document(number), act())
        say(number, "opened")
        with database.writing() as session:
            job = change_job(session, document(number, cam="B3"), {PLAN: 1}, act())
        say(number, "changed")
        with database.writing() as session:
            kept = keep_kit(session, job, kit(), {"of": number}, act())
            keep_quote(session, job, kept, paper(number), act())
        say(number, "quoted")


if __name__ == "__main__":
    write(sys.argv[1], sys.argv[2])
