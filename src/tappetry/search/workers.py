"""Who works: threads of this machine, or a Dask cluster.

The kernels let go of the interpreter's lock, so threads are enough on one machine. A candidate is worked on
as a whole by one worker, from rest: so the answer is the same whoever works, and however many.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from importlib import import_module
from typing import TypeVar

from tappetry.records.problems import BadInput, Where

T = TypeVar("T")
R = TypeVar("R")

PATIENCE = 20.0
"""How long a scheduler may take to answer. [s]"""


@dataclass(frozen=True, slots=True)
class Worker:
    """Threads of this machine, or the address of a cluster's scheduler where one is given."""

    threads: int
    cluster: str = ""


def worked(work: Callable[[T], R], items: Sequence[T], by: Worker) -> Iterator[tuple[int, R]]:
    """Each item's number with what came of it, as they are done; what waits is dropped when one stops."""
    return _by_cluster(work, items, by.cluster) if by.cluster else _by_threads(work, items, by.threads)


def _by_threads(work: Callable[[T], R], items: Sequence[T], threads: int) -> Iterator[tuple[int, R]]:
    pool = ThreadPoolExecutor(threads)
    try:
        numbers = {pool.submit(work, item): number for number, item in enumerate(items)}
        for done in as_completed(numbers):
            yield numbers[done], done.result()
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _by_cluster(work: Callable[[T], R], items: Sequence[T], address: str) -> Iterator[tuple[int, R]]:
    """A worker that is lost loses nothing: the scheduler gives its items to another one."""
    try:
        distributed = import_module("dask.distributed")
    except ImportError:
        raise BadInput.at(
            Where("cluster"), "Dask is not installed", address, "the extra `cluster` of this program"
        ) from None
    try:
        client = distributed.Client(address, timeout=PATIENCE)
    except (OSError, ValueError) as error:
        raise BadInput.at(
            Where("cluster"), f"no scheduler answers: {error}", address, "such as tcp://host:8786"
        ) from error
    with client:
        futures = client.map(work, items, pure=False)
        numbers = {future.key: number for number, future in enumerate(futures)}
        for done in distributed.as_completed(futures):
            yield numbers[done.key], done.result()
