"""The first page of the app from the start of its process, beside an empty app under the same server."""

from __future__ import annotations

import signal
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.request import urlopen

from benchmarks.demo_shop import jobs
from benchmarks.pairs import Pair, Size, pair
from tappetry.presentation.kept import papers
from tappetry.services.ledger import ledger_of
from tappetry.services.shop import make_demo_shop
from tests.serving import SERVE, serving

EMPTY = """
import json, socket, uvicorn
from fastapi import FastAPI

app = FastAPI()

@app.get("/")
def nothing() -> None:
    pass

taken = socket.socket()
taken.bind(("127.0.0.1", 0))
taken.listen()
print(json.dumps({"address": f"http://127.0.0.1:{taken.getsockname()[1]}/"}), flush=True)
uvicorn.Server(uvicorn.Config(app, log_level="warning", access_log=False)).run(sockets=[taken])
"""


def measure(size: Size) -> Iterator[Pair]:
    with TemporaryDirectory() as folder:
        shop, empty = Path(folder) / "shop", Path(folder) / "nothing"
        _fill(shop)
        for name, home, expected in (
            ("Today, with three jobs", shop, b'href="/jobs/J3/facts"'),
            ("where there is no shop yet", empty, b'action="/begin"'),
        ):
            clock: list[float] = []
            measured = pair(
                name,
                lambda home=home, expected=expected, clock=clock: clock.append(
                    _first_page(SERVE, home, expected)
                ),
                "an empty app",
                lambda: _first_page([sys.executable, "-c", EMPTY], empty, b"null"),
                size.rounds,
                whole_processes=True,
            )
            yield replace(measured, note=f"by the clock: the least {min(clock):.2f} s")


def _fill(place: Path) -> None:
    """Make the demo shop with its jobs opened."""
    shop = make_demo_shop(place)
    ledger = ledger_of(shop, papers())
    for job in jobs():
        file = shop.jobs / f"{job.id}.yaml"
        ledger.new_job(file.read_text(encoding="utf-8"), "the desk")
    ledger.database.close()
    _first_page(SERVE, place, b"J3")  # takes up the text


def _first_page(words: Sequence[str], home: Path, expected: bytes) -> float:
    """Seconds by the clock from the start of a server to the whole of its first page."""
    start = time.perf_counter()
    with serving(*words, home=home, end=signal.SIGKILL) as served:
        page = urlopen(served.address, timeout=60).read()
        seconds = time.perf_counter() - start
    assert expected in page, page
    return seconds
