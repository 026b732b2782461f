"""`tappetry serve`: the shop app in a browser, on this machine alone or for whoever has an account."""

from __future__ import annotations

import argparse
import logging
import socket
import sys
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

from tappetry.cli.database import declare_database
from tappetry.cli.entrance import Door, declare_entrance, read_entrance
from tappetry.cli.schedule import declare_schedule, read_schedule
from tappetry.cli.streams import answer, note, stage

if TYPE_CHECKING:
    from starlette.types import ASGIApp

    from tappetry.services.backups import Schedule
    from tappetry.services.ledger import Ledger
    from tappetry.services.shop import Shop
    from tappetry.services.workers import Workers

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
    declare_schedule(parser)
    declare_database(parser)


def run(arguments: argparse.Namespace) -> int:
    """Serve until somebody stops it."""
    from tappetry.records.problems import BadInput, Where
    from tappetry.services.begin import must_be_free
    from tappetry.services.shop import home, is_shop, open_shop

    if arguments.workers is not None and not 0 <= arguments.workers <= MOST_WORKERS:
        expected = f"0 to {MOST_WORKERS}; with 0 long work waits until somebody else does it"
        raise BadInput.at(Where("--workers"), "no such number of processes", arguments.workers, expected)
    door, schedule = read_entrance(arguments), read_schedule(arguments)
    place = home()
    alone = not (arguments.lan or arguments.database)
    if alone and not is_shop(place):
        must_be_free(place)
        shop = None
    else:
        shop = open_shop()
    taken = socket.socket()
    taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        taken.bind((door.host, arguments.port))
    except (OSError, OverflowError) as error:
        expected = "a port that nobody uses, from 1024 to 65535"
        raise BadInput.at(
            Where("--port"), f"the port cannot be taken: {error}", arguments.port, expected
        ) from None
    with ExitStack() as beside:
        app = _app(arguments, door, schedule, place, shop, beside)
        address = door.address(taken.getsockname()[1])
        taken.listen()  # whoever comes from now on waits for his turn, and is not turned away
        if arguments.json:
            answer({"address": address})
            sys.stdout.flush()  # whoever reads it through a pipe waits for it
        what = "the shop is open" if shop is not None else f"{place} is empty; begin a shop, or look around,"
        note(f"tappetry: {what} at {address} {door.told}; stop it with Ctrl-C")
        _serve(app, door, taken)
    return 0


def _app(
    arguments: argparse.Namespace,
    door: Door,
    schedule: Schedule,
    place: Path,
    shop: Shop | None,
    beside: ExitStack,
) -> ASGIApp:
    """The app of a shop, or the one that begins a shop; workers come up after the first page."""
    with stage("the shop and its database" if shop is not None else "the pages that begin a shop"):

        def opened(shop: Shop) -> ASGIApp:
            from tappetry.services.afterwards import Afterwards
            from tappetry.services.backups import keeping
            from tappetry.web.app import open_app
            from tappetry.web.beginning import Beginning, Pages

            app = open_app(shop, arguments.database, door.entrance, schedule)
            beside.callback(app.state.app.ledger.database.close)  # its file alone is whole then
            if door.entrance.accounts:
                tell_logins(app.state.app.ledger)
            pages = Pages(app)
            later = Afterwards(
                pages.read,
                lambda: _workers(arguments, shop),
                lambda: keeping(app.state.app.ledger.backups),
            )
            return Beginning(app, pages, beside.enter_context(later).shown)

        if shop is not None:
            return opened(shop)
        from tappetry.web.first_run import FirstRun

        return FirstRun(place, opened)


def _workers(arguments: argparse.Namespace, shop: Shop) -> Workers:
    from tappetry.services.workers import Workers, cores
    from tappetry.services.works import WORKS

    count = cores() if arguments.workers is None else arguments.workers
    return Workers(shop, arguments.database, WORKS, count)


def tell_logins(ledger: Ledger) -> None:
    """Write who comes in, and who does not, to the standard error stream; say so where nobody can come in."""
    from tappetry.services import accounts
    from tappetry.services.sessions import LOG

    told = logging.StreamHandler()
    told.setFormatter(logging.Formatter("%(asctime)s %(name)s: %(message)s"))
    LOG.addHandler(told)
    LOG.setLevel(logging.INFO)
    LOG.propagate = False
    if not accounts.every(ledger):
        note("tappetry: nobody has an account yet; make the first by `tappetry account add`")


def _serve(app: ASGIApp, door: Door, taken: socket.socket) -> None:
    import uvicorn

    from tappetry.services.pace import keep_pace

    keep_pace()
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
    server.run(sockets=[taken])
