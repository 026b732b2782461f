"""Pages of the app over 20,000 jobs and 200,000 parts, beside a FastAPI route that does nothing."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import quantiles
from tempfile import TemporaryDirectory
from time import process_time
from typing import Any

from fastapi import FastAPI
from fastapi.testclient import TestClient

from benchmarks.demo_shop import shop
from benchmarks.large_catalogue import large_catalogue
from benchmarks.pairs import SEED, Pair, Size, pair
from tappetry.jobs.reader import read_job_text
from tappetry.presentation.kept import papers
from tappetry.services.ledger import Ledger
from tappetry.services.shop import Shop
from tappetry.store.database import Database
from tappetry.store.jobs import Act, add_job
from tappetry.store.migrate import migrate
from tappetry.web.app import make_app

#: Of a shop that has worked for long: jobs for each part of the large catalogue, and parts for each.
JOBS_PER_PART, PARTS = 0.2, 2
#: The first job was opened then, and another one every so often.
BEGAN, BETWEEN = datetime(2021, 3, 1, tzinfo=UTC), timedelta(hours=2)
#: A page is asked for so often to tell how long the slowest in a hundred takes.
OFTEN = 100
ADDRESSES = (
    "/",
    "/jobs",
    "/jobs?q=customer+1234",
    "/search?q=valve+spring",
    "/parts?q=head+bolt",
    "/parts?q=valve+spring+dual",
    "/families",
    "/calculators",
    "/shop",
    "/jobs/{job}/facts",
    "/jobs/{job}/plan",
    "/jobs/{job}/kit",
    "/jobs/{job}/proof",
    "/jobs/{job}/papers",
    "/jobs/{job}/history",
)


def measure(size: Size) -> Iterator[Pair]:
    with TemporaryDirectory() as folder:
        large = Shop(shop().folder)
        catalogue = large_catalogue(shop().catalogue, PARTS * size.parts, SEED)
        vars(large).update(knowledge=shop().knowledge, catalogue=catalogue)
        database = Database(f"sqlite:///{Path(folder) / 'shop.db'}")
        migrate(database)
        number = _fill(database, round(JOBS_PER_PART * size.parts))
        client = TestClient(make_app(Ledger(large, database, papers())), base_url="http://127.0.0.1")
        empty = TestClient(_empty(), base_url="http://127.0.0.1")
        for address in ADDRESSES:
            page = address.format(job=number)
            answer = client.get(page)  # which also works out what is then remembered
            assert answer.status_code == 200, (page, answer.text)
            seconds = [_seconds(client, page) for _ in range(min(OFTEN, size.calls))]
            slowest = quantiles(seconds, n=100)[-1]
            yield pair(
                page,
                lambda page=page: client.get(page),
                "an empty route",
                lambda: empty.get("/"),
                size.rounds,
                max(1, size.calls // 100),
                note=f"{len(answer.content) / 1000:.0f} kB; 99 in 100 within {slowest * 1e3:.0f} ms",
            )
        database.close()


def _fill(database: Database, count: int) -> str:
    """Open many jobs that are like the demo shop's, and say the number of the last."""
    texts = sorted((shop().folder / "jobs").glob("*.yaml"))
    documents = [read_job_text(file.read_text(), shop().knowledge, file.name)[1] for file in texts]
    with database.writing() as session:
        for place in range(count):
            document: dict[str, Any] = {
                **documents[place % len(documents)],
                "job": f"N{place}",
                "customer": f"customer {place % (count // 2 + 1)}",
            }
            add_job(session, document, Act("the desk", "opened the job", BEGAN + place * BETWEEN))
    return f"N{count - 1}"


def _empty() -> FastAPI:
    app = FastAPI()

    @app.get("/")
    def nothing() -> None:
        """Nothing at all."""

    return app


def _seconds(client: TestClient, page: str) -> float:
    start = process_time()
    client.get(page)
    return process_time() - start
