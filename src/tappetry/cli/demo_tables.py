"""What the demo shows at its end: the money of every job, where the files are, what to try next."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from rich.console import RenderableType

from tappetry.cli.demo import Worked
from tappetry.cli.tables import table
from tappetry.cli.working import optimality
from tappetry.presentation import words
from tappetry.services.shop import Shop

MONEY = ("parts", "services", "labour", "total")


def totals(jobs: Iterable[Worked]) -> RenderableType:
    """The money of every job."""
    return table(("job", "lines", *MONEY, ""), map(_row, jobs), right=("lines", *MONEY))


def closing_lines(shop: Shop, out: Path, jobs: Sequence[Worked]) -> Iterator[str]:
    """Where the files are, and commands that can be copied: lines that are never broken."""
    yield f"papers    {out}/ ({sum(len(job.papers) for job in jobs)} files)"
    yield f"the jobs  {shop.jobs}/"
    yield f"the shop  {shop.folder}/ (text files: change them and run again)"
    solved = [job for job in jobs if job.result]
    if solved:
        yield "\nTry next:"
        yield from (f"  {command}" for command in _commands(shop, out, solved[0]))


def _row(job: Worked) -> Iterator[str]:
    if job.result is None or job.result.kit.totals is None:
        said = job.refusal.message if job.refusal else "not priced"
        yield from (job.file.stem, "", *("" for _ in MONEY), said)
        return
    money = job.result.kit.totals
    yield job.result.job.id
    yield str(len(job.result.kit.lines))
    yield from (words.amount(getattr(money, name)) for name in MONEY)
    yield f"{money.currency}, {optimality(job.result)}"


def _commands(shop: Shop, out: Path, job: Worked) -> Iterator[str]:
    """Commands of this shop, as they are typed."""
    start = f"TAPPETRY_HOME={shlex.quote(str(shop.folder))} {shlex.quote(_program())}"
    file = shlex.quote(str(job.file))
    need = job.result.kit.lines[0].needs[0].need if job.result else ""
    yield f"{start} kit {file}"
    yield f"{start} why {file} {shlex.quote(need)}"
    yield f"{start} prove {file} --json"
    yield f"{start} job new {shlex.quote(str(out / 'my-job.yaml'))}"


def _program() -> str:
    """The program as it was called, where that is a file of this name."""
    called = Path(sys.argv[0])
    return str(called) if called.name == "tappetry" else "tappetry"
