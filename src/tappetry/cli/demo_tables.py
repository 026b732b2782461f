"""What the demo shows at its end: the money of every job, where the files are, what to try next."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from rich.console import RenderableType
from rich.text import Text

from tappetry.cli.demo import Worked
from tappetry.cli.tables import heading, table
from tappetry.cli.working import optimality
from tappetry.presentation import words
from tappetry.services.shop import Shop

MONEY = ("parts", "services", "labour", "total")


def pages(shop: Shop, out: Path, jobs: Sequence[Worked]) -> Iterator[RenderableType]:
    """Totals, files, and commands that can be copied."""
    yield heading("Totals")
    yield table(("job", "lines", *MONEY, ""), map(_row, jobs), right=("lines", *MONEY))
    yield Text(f"Papers:       {out}/ ({sum(len(job.papers) for job in jobs)} files)")
    yield Text(f"The jobs:     {shop.jobs}/")
    yield Text(f"The shop:     {shop.folder}/ (text files; change them and run again)")
    solved = [job for job in jobs if job.result]
    if solved:
        yield heading("Try next")
        for command in _commands(shop, out, solved[0]):
            yield Text(f"  {command}", no_wrap=True, overflow="ignore")


def _row(job: Worked) -> Iterator[str]:
    if job.result is None or job.result.kit.totals is None:
        said = job.refusal.message if job.refusal else "not priced"
        yield from (job.file.stem, "", *("" for _ in MONEY), said)
        return
    totals = job.result.kit.totals
    yield job.result.job.id
    yield str(len(job.result.kit.lines))
    yield from (words.amount(getattr(totals, name)) for name in MONEY)
    yield f"{totals.currency}, {optimality(job.result)}"


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
