"""Worker processes beside the server: one for each core, started again where one ends."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Mapping
from multiprocessing.context import SpawnProcess
from multiprocessing.synchronize import Event
from pathlib import Path
from types import TracebackType

from tappetry.services.opening import open_store
from tappetry.services.queue import Work
from tappetry.services.shop import Shop
from tappetry.services.worker import REST, Worker
from tappetry.store.database import sqlite_url
from tappetry.store.problems import StoreUnavailable

#: How often it is looked whether a worker has ended. [s]
LOOK = 1.0
#: How long workers may take to hand their work back before they are ended. [s]
LEAVE = 5.0


def cores() -> int:
    """How many cores this program may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _run(folder: Path, url: str, works: Mapping[str, Work], closing: Event) -> None:
    """The life of one worker process; it ends with the program that started it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # a key pressed for the server is the server's affair
    parent = multiprocessing.parent_process()
    shop = Shop(folder)

    def leaving() -> bool:
        return closing.is_set() or (parent is not None and not parent.is_alive())

    while not leaving():
        try:
            database = open_store(shop, url)
        except StoreUnavailable:
            time.sleep(REST)
            continue
        Worker(shop, database, works, leaving).work()
        database.close()


class Workers:
    """Worker processes for as long as the block lasts.

    Parameters
    ----------
    shop : Shop
    url : str
        The address of the database; the file in the shop's folder where it is empty.
    works : mapping of str to callable
        What is done for each kind of task; functions of modules, so that another process finds them.
    count : int
        How many work side by side.
    """

    def __init__(self, shop: Shop, url: str, works: Mapping[str, Work], count: int) -> None:
        self._context = multiprocessing.get_context("spawn")
        self._closing = self._context.Event()
        self._arguments = (shop.folder, url or sqlite_url(shop.folder), works, self._closing)
        self._over = threading.Event()
        self._watch = threading.Thread(target=self._keep_up, daemon=True)
        self.processes = [self._start() for _ in range(count)]

    def __enter__(self) -> Workers:
        """Watch over the workers."""
        self._watch.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Let the workers hand back what they do, and end them."""
        self._over.set()
        self._closing.set()
        self._watch.join()
        for process in self.processes:
            process.join(LEAVE)
            if process.is_alive():
                process.kill()
                process.join()

    def _start(self) -> SpawnProcess:
        process = self._context.Process(target=_run, args=self._arguments, daemon=True)
        process.start()
        return process

    def _keep_up(self) -> None:
        while not self._over.wait(LOOK):
            for place, process in enumerate(self.processes):
                if not process.is_alive():
                    self.processes[place] = self._start()
