"""Threads and a cluster give one answer; what waits is dropped when one stops."""

from __future__ import annotations

import os
import signal
import threading
import time

import pytest

from tappetry.records.problems import BadInput
from tappetry.search.workers import Worker, worked


def square(value: int) -> int:
    return value * value


def slow_square(value: int) -> tuple[int, int]:
    time.sleep(0.2)
    return value * value, os.getpid()


def test_one_thread_and_two_give_one_answer() -> None:
    one, two = (dict(worked(square, range(9), Worker(threads))) for threads in (1, 2))
    assert one == two == {number: number**2 for number in range(9)}


def test_what_waits_is_dropped_when_one_stops() -> None:
    begun: list[int] = []
    gate = threading.Event()

    def work(value: int) -> int:
        begun.append(value)
        if value == 1:
            gate.wait(10.0)
        return value

    results = worked(work, range(50), Worker(1))
    assert next(results) == (0, 0)
    threading.Timer(0.2, gate.set).start()
    results.close()
    assert len(begun) <= 3


def test_a_scheduler_that_does_not_answer_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tappetry.search.workers.PATIENCE", 0.3)
    with pytest.raises(BadInput) as caught:
        list(worked(square, [1], Worker(1, "tcp://127.0.0.1:1")))
    assert "no scheduler answers" in str(caught.value)
    assert "tcp://127.0.0.1:1" in str(caught.value)


@pytest.mark.slow
def test_a_cluster_that_loses_a_worker_gives_the_same_answer() -> None:
    from dask.distributed import LocalCluster

    with LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster:
        found: dict[int, int] = {}
        workers: set[int] = set()
        for number, (value, worker) in worked(slow_square, range(20), Worker(1, cluster.scheduler_address)):
            if not workers:
                os.kill(worker, signal.SIGKILL)
            workers.add(worker)
            found[number] = value
    assert found == {number: number**2 for number in range(20)}
    assert len(workers) >= 2
