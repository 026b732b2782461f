"""A process that serves a shop's app beside an empty route, and says how long each request took in it."""

from __future__ import annotations

import json
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

import uvicorn
from fastapi import FastAPI
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from tappetry.services.pace import keep_pace
from tappetry.services.shop import Shop
from tappetry.web.app import open_app
from tappetry.web.beginning import Pages

#: Addresses that the app does not have: of the empty route, and of what was measured.
EMPTY, FIGURES = "/empty", "/figures"


class Timed:
    """An app, and how long each request took from its arrival here to the last byte of its answer."""

    def __init__(self, app: ASGIApp) -> None:
        self.app, self.empty = app, _empty()
        self.taken: list[tuple[str, float, int, int]] = []
        self.began = process_time()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, and take note."""
        path = scope["path"]
        if path == FIGURES:
            await _answer(send, {"taken": self.taken, "processor": process_time() - self.began})
            self.taken, self.began = [], process_time()
            return
        status = size = 0

        async def sending(message: Message) -> None:
            nonlocal status, size
            status = message.get("status", status)
            size += len(message.get("body", b""))
            await send(message)

        start = perf_counter()
        await (self.empty if path == EMPTY else self.app)(scope, receive, sending)
        query = scope["query_string"].decode()
        self.taken.append((f"{path}?{query}" if query else path, perf_counter() - start, status, size))


def _empty() -> FastAPI:
    app = FastAPI()

    @app.get(EMPTY)
    def nothing() -> None:
        """Nothing at all."""

    return app


async def _answer(send: Send, said: Any) -> None:
    headers = [(b"content-type", b"application/json")]
    await send({"type": "http.response.start", "status": 200, "headers": headers})
    await send({"type": "http.response.body", "body": json.dumps(said).encode()})


@contextmanager
def serving(folder: Path, url: str) -> Iterator[str]:
    """The host and port of a process that serves the shop of a folder."""
    words = [sys.executable, "-m", "benchmarks.serving", str(folder), url]
    with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        try:
            port = process.stdout.readline()
            assert port, "the server did not begin"
            yield f"127.0.0.1:{int(port)}"
        finally:
            process.terminate()


def _serve(folder: str, url: str) -> None:
    taken = socket.socket()
    taken.bind(("127.0.0.1", 0))
    app = open_app(Shop(Path(folder)), url)
    Pages(app).read()
    taken.listen()
    print(taken.getsockname()[1], flush=True)
    keep_pace()
    config = uvicorn.Config(Timed(app), log_level="warning", access_log=False, lifespan="off")
    uvicorn.Server(config).run(sockets=[taken])


if __name__ == "__main__":
    _serve(*sys.argv[1:])
