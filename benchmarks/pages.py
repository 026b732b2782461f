"""Pages of the app of a shop with five years of work, asked for in an open loop, beside an empty route."""

from __future__ import annotations

import json
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from http.client import HTTPConnection
from pathlib import Path
from random import Random
from statistics import median, quantiles
from tempfile import TemporaryDirectory

from benchmarks.large_shop import fill, make_large_shop
from benchmarks.pairs import SEED, NotHere, Pair, Size
from benchmarks.serving import EMPTY, FIGURES, serving
from tappetry.services.shop import make_demo_shop
from tests.databases import KINDS, databases, programs

#: Jobs for each part of the large catalogue, and how many times that of the other benchmarks it is.
JOBS_PER_PART, PARTS = 0.1, 2
#: Requests a second, at moments that do not depend on each other; and as many as these at once.
RATE, AT_ONCE = 20, 64
#: One request in so many goes to a job that nobody looked at since the server began.
NEW = 500
#: Requests for each call of a small function: some hundreds to each page, for the slowest in a hundred.
SHARE = 9
ADDRESSES = (
    "/",
    "/jobs",
    "/jobs?q=customer+1234",
    "/jobs/new",
    "/search?q=valve+spring",
    "/customers",
    "/customers?q=customer+123",
    "/parts",
    "/parts?q=head+bolt",
    "/parts?q=valve+spring+dual",
    "/parts?need=head-bolts-main",
    "/families",
    "/calculators",
    "/calculators/seat-load",
    "/cam-search",
    "/bills",
    "/prices",
    "/shop",
    "/shop/text",
    "/jobs/{job}/facts",
    "/jobs/{job}/ask",
    "/jobs/{job}/plan",
    "/jobs/{job}/plan/try?use=daily",
    "/jobs/{job}/days",
    "/jobs/{job}/kit",
    "/jobs/{job}/proof",
    "/jobs/{job}/papers",
    "/jobs/{job}/machine",
    "/jobs/{job}/customer",
    "/jobs/{job}/bill",
    "/jobs/{job}/money",
    "/jobs/{job}/statement",
    "/jobs/{job}/history",
    "/jobs/{job}/next",
)
OF_JOBS = tuple(each for each in ADDRESSES if "{job}" in each)
#: What a field asks for as somebody types.
TYPED = ("/jobs?q=", "/customers?q=", "/parts?q=")
PAGE = {"Accept": "text/html"}


def measure(size: Size) -> Iterator[Pair]:
    try:
        programs()
    except AssertionError as missing:
        raise NotHere("PostgreSQL", str(missing)) from None
    with TemporaryDirectory() as place:
        folder = Path(place)
        shop = make_large_shop(folder / "large", PARTS * size.parts)
        small = make_demo_shop(folder / "small")
        with databases(folder) as made:
            for kind in KINDS:
                database = made.new(kind)
                jobs = fill(database, shop, small, round(JOBS_PER_PART * PARTS * size.parts))
                database.close()
                url = database.url.render_as_string(hide_password=False)
                with serving(shop.folder, url) as host:
                    yield from _measure(kind, host, jobs, size)


def _measure(kind: str, host: str, jobs: tuple[list[str], list[str]], size: Size) -> Iterator[Pair]:
    in_work, others = jobs
    plan = _plan(in_work, others, SHARE * size.calls)
    new = {f"/jobs/{job}/" for job in others}
    for address in dict.fromkeys(address for _, address, _ in plan):
        if not any(address.startswith(job) for job in new):
            _get(host, address, headers={})  # works out what is then remembered
    _get(host, FIGURES)
    began = time.monotonic()
    waited: list[float] = []

    def ask(moment: float, address: str) -> None:
        time.sleep(max(0.0, began + moment - time.monotonic()))
        _get(host, address)
        waited.append(time.monotonic() - began - moment)

    with ThreadPoolExecutor(AT_ONCE) as people:
        list(people.map(lambda each: ask(*each[:2]), plan))
    told = json.loads(_get(host, FIGURES))
    names = {address: name for _, address, name in plan}
    taken: dict[str, list[tuple[float, int]]] = defaultdict(list)
    for address, seconds, status, weight in told["taken"]:
        assert status in (200, 303), (address, status)
        taken[names[address]].append((seconds, weight))
    busy = told["processor"] / max(each[0] for each in plan)
    every = [seconds for name in taken for seconds, _ in taken[name] if name != EMPTY]
    empty = [seconds for seconds, _ in taken[EMPTY]]
    yield _pair(
        f"{kind}: any page",
        every,
        empty,
        size,
        f"{len(every)} requests, {RATE} a second; 99 in 100 within {_late(every)}, as whoever asks sees it "
        f"{_late(waited)}; {busy:.0%} of a processor",
    )
    for name in dict.fromkeys(names.values()):
        if name != EMPTY and name in taken:
            seconds = [each for each, _ in taken[name]]
            heaviest = max(weight for _, weight in taken[name])
            yield _pair(
                name, seconds, empty, size, f"{heaviest / 1000:.0f} kB; 99 in 100 within {_late(seconds)}"
            )


def _plan(in_work: Sequence[str], others: Sequence[str], count: int) -> list[tuple[float, str, str]]:
    """When each request comes, its address, and the name under which it is counted."""
    random = Random(SEED)
    unseen = iter(random.sample(others, len(others)))
    found = []
    moment = 0.0
    for place in range(count):
        moment += random.expovariate(RATE)
        name = EMPTY if place % 10 == 0 else random.choice((*ADDRESSES, *TYPED))
        job = random.choice(in_work)
        if place % NEW == 1:
            name, job = random.choice(OF_JOBS), next(unseen, job)
        address = name.format(job=job)
        if name in TYPED:
            typed = random.choice(("customer 77", "valve spring", "head bolt", "mc 12", "gasket"))
            address, name = name + typed[: random.randint(2, len(typed))].replace(" ", "+"), f"{name}..."
        found.append((moment, address, name))
    return found


def _get(host: str, address: str, headers: dict[str, str] = PAGE) -> bytes:
    with closing(HTTPConnection(host, timeout=120)) as connection:
        connection.request("GET", address, headers=headers)
        return connection.getresponse().read()


def _late(seconds: Sequence[float]) -> str:
    slowest = quantiles(seconds, n=100)[-1] if len(seconds) > 1 else seconds[0]
    return f"{slowest * 1e3:.0f} ms"


def _pair(name: str, seconds: Sequence[float], empty: Sequence[float], size: Size, note: str) -> Pair:
    """The medians of as many runs of requests as there are rounds."""

    def medians(many: Sequence[float]) -> tuple[float, ...]:
        return tuple(median(many[place :: size.rounds] or many) for place in range(size.rounds))

    return Pair(name, "an empty route", medians(seconds), medians(empty), note)
