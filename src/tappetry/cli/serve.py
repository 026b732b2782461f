"""`tappetry serve`: the shop app in a browser, on this machine alone or for whoever has an account."""

from __future__ import annotations

import argparse
import socket
from typing import TYPE_CHECKING

from tappetry.cli.database import declare_database
from tappetry.cli.entrance import declare_entrance, read_entrance
from tappetry.cli.streams import answer, note, stage

if TYPE_CHECKING:
    from tappetry.services.shop import Shop

PORT = 8321
MOST_WORKERS = 64
#: How long a connection that says nothing is held. [s]
KEEP_ALIVE = 15
#: How many requests are held at once; more are told to come again.
AT_ONCE = 200


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    parser.add_argument("--port", type=int, default=PORT, metavar="N", help=f"the port (default: {PORT})")
    parser.add_argument(
        "--workers", type=int, metavar="N", help="processes for long work (default: one for each core)"
    )
    declare_entrance(parser)
    declare_database(parser)


def run(arguments: argparse.Namespace) -> int:
    """Serve until somebody stops it."""
    from tappetry.records.problems import BadInput, Where

    if arguments.workers is not None and not 0 <= arguments.workers <= MOST_WORKERS:
        expected = f"0 to {MOST_WORKERS}; with 0 long work waits until somebody else does it"
        raise BadInput.at(Where("--workers"), "no such number of processes", arguments.workers, expected)
    door = read_entrance(arguments)
    shop = _shop(alone=not (arguments.lan or arguments.database))
    taken = socket.socket()
    taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        taken.bind((door.host, arguments.port))
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

        app = open_app(shop, arguments.database, door.entrance)
    address = door.address(taken.getsockname()[1])
    taken.listen()  # whoever comes from now on waits for his turn, and is not turned away
    if arguments.json:
        answer({"address": address})
    note(f"tappetry: the shop is open at {address} {door.told}; stop it with Ctrl-C")
    server = uvicorn.Server(
        uvicorn.Config(
            app,
            log_level="warning",
            access_log=False,
            server_header=False,
            lifespan="off",
            timeout_keep_alive=KEEP_ALIVE,
            limit_concurrency=AT_ONCE,
            proxy_headers=bool(door.proxy),
            forwarded_allow_ips=door.proxy or None,
            ssl_certfile=door.certificate,
            ssl_keyfile=door.key,
        )
    )
    count = cores() if arguments.workers is None else arguments.workers
    with Workers(shop, arguments.database, WORKS, count):
        server.run(sockets=[taken])
    return 0


def _shop(*, alone: bool) -> Shop:
    """The shop's folder; where it is empty and nobody else is let in, the invented shop to look at."""
    from tappetry.services.shop import home, make_demo_shop, open_shop

    place = home()
    if not alone or (place.is_dir() and any(place.iterdir())):
        return open_shop()
    note(f"tappetry: {place} is empty; the invented shop is put there to look at")
    return make_demo_shop(place)
