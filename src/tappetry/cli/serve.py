"""`tappetry serve`: the shop app in a browser, on this machine alone."""

from __future__ import annotations

import argparse
import socket

from tappetry.cli.database import declare_database
from tappetry.cli.streams import answer, note, stage

HOST = "127.0.0.1"
PORT = 8321
MOST_WORKERS = 64


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    parser.add_argument("--port", type=int, default=PORT, metavar="N", help=f"the port (default: {PORT})")
    parser.add_argument(
        "--workers", type=int, metavar="N", help="processes for long work (default: one for each core)"
    )
    declare_database(parser)


def run(arguments: argparse.Namespace) -> int:
    """Serve until somebody stops it."""
    from tappetry.records.problems import BadInput, Where
    from tappetry.services.shop import open_shop

    if arguments.workers is not None and not 0 <= arguments.workers <= MOST_WORKERS:
        expected = f"0 to {MOST_WORKERS}; with 0 long work waits until somebody else does it"
        raise BadInput.at(Where("--workers"), "no such number of processes", arguments.workers, expected)
    shop = open_shop()
    taken = socket.socket()
    taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        taken.bind((HOST, arguments.port))
    except (OSError, OverflowError) as error:
        expected = "a port that nobody uses, from 1024 to 65535"
        raise BadInput.at(
            Where("--port"), f"the port cannot be taken: {error}", arguments.port, expected
        ) from None
    with stage("the shop and its database"):
        import uvicorn

        from tappetry.services.workers import Workers, cores
        from tappetry.services.works import WORKS
        from tappetry.web.app import open_app

        app = open_app(shop, arguments.database)
    address = f"http://{HOST}:{taken.getsockname()[1]}/"
    if arguments.json:
        answer({"address": address})
    note(f"tappetry: the shop is open at {address} on this machine; stop it with Ctrl-C")
    server = uvicorn.Server(
        uvicorn.Config(app, log_level="warning", access_log=False, server_header=False, lifespan="off")
    )
    count = cores() if arguments.workers is None else arguments.workers
    with Workers(shop, arguments.database, WORKS, count):
        server.run(sockets=[taken])
    return 0
