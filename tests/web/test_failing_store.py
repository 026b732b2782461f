"""The app over a database that fails: it says so, keeps nothing half, and works again when it is mended."""

from __future__ import annotations

import html
from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from fastapi.testclient import TestClient
from httpx import Response
from sqlalchemy import event, text

from tappetry.services.ledger import Ledger
from tappetry.services.roles import Role
from tappetry.store.database import Database
from tappetry.store.dump import content
from tappetry.store.migrate import migrate
from tests.databases import Server, own_server
from tests.kitting.support import demo
from tests.web.conftest import NOON, Browser
from tests.web.entering import WORDS, Visitor, name_of, opened_to_others
from tests.worked_out import WORKED_OUT, papers_once

pytestmark = pytest.mark.slow

KEPT = "Nothing of this act was kept. See that the disk has room and may be written to"


class Sender:
    """Sends forms with a token that was read while all was well."""

    def __init__(self, browser: Browser) -> None:
        self.browser = browser
        self.token = browser.token

    def open(self, name: str) -> Response:
        fields = {"token": self.token, "name": name}
        return self.browser.client.post("/jobs/from-file", data=fields)

    def state(self, source: str = "odometer") -> Response:
        said = {"attribute": "mileage", "value": "90000 km", "grade": "seen", "source": source}
        return self.browser.client.post("/jobs/J3/facts", data={"token": self.token, "version": 1, **said})


@pytest.fixture
def sender(browser: Browser) -> Sender:
    """Somebody who has opened one job."""
    browser.open("J3")
    return Sender(browser)


def is_told(answer: Response, *said: str) -> None:
    """It is a page for people, with a status that says that it is not their fault, and for now."""
    page = html.unescape(answer.text)
    assert answer.status_code == 503, page[:600]
    wanted = ("The shop's database does not answer", KEPT, *said)
    assert [each for each in wanted if each not in page] == [], page[page.find("<h1>") :][:600]


@contextmanager
def anew(database: Database, name: str, does: Callable[..., None]) -> Iterator[None]:
    """Each connection of a database is made in another way, until all is well again."""
    database.close()
    event.listen(database.engine, name, does)
    try:
        yield
    finally:
        event.remove(database.engine, name, does)
        database.close()


def alone_says(database: Database, *commands: str) -> None:
    """Commands to the database that take no part in any act."""
    with database.engine.connect() as connection:
        for command in commands:
            connection.execute(text(command))
        connection.commit()


@contextmanager
def full(database: Database, far: int) -> Iterator[None]:
    """No room for more than some pages; PostgreSQL is let say after so many rows what it says then."""
    if database.is_sqlite:
        with database.reading() as session:
            most = session.scalar(text("PRAGMA page_count")) + 5 * far

        def limited(connection: Any, record: Any) -> None:
            connection.execute(f"PRAGMA max_page_count={most}")

        with anew(database, "connect", limited):
            yield
        return
    alone_says(
        database,
        "CREATE FUNCTION full_disk() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"IF (SELECT count(*) FROM versions) >= {3 + far} THEN "
        "RAISE EXCEPTION 'could not extend file: No space left on device' USING ERRCODE = 'disk_full'; "
        "END IF; RETURN NEW; END $$",
        "CREATE TRIGGER full_disk BEFORE INSERT ON versions FOR EACH ROW EXECUTE FUNCTION full_disk()",
    )
    yield
    alone_says(database, "DROP TRIGGER full_disk ON versions", "DROP FUNCTION full_disk()")


@pytest.mark.parametrize("far", range(3))
def test_a_disk_that_is_full_after_so_much_of_an_act(sender: Sender, far: int) -> None:
    database = sender.browser.ledger.database
    before = content(database)
    with full(database, far):
        if database.is_sqlite:
            is_told(sender.state("said at length " * 2000), "database or disk is full")
        else:
            is_told(sender.open("J1"), "No space left on device")
        assert content(database) == before
        assert "J3" in sender.browser.get("/jobs")
    assert sender.open("J1").status_code == 200
    assert sender.state("said at length " * 2000).status_code == 200


@contextmanager
def read_only(database: Database) -> Iterator[None]:
    """The file may only be read; the server takes no writers."""
    if database.is_sqlite:

        def opened(dialect: Any, record: Any, words: list[Any], options: dict[str, Any]) -> None:
            words[0] = f"file:{database.url.database}?mode=ro"
            options["uri"] = True

        with anew(database, "do_connect", opened):
            yield
        return
    name = database.url.database
    alone_says(database, f"ALTER DATABASE {name} SET default_transaction_read_only = on")
    database.close()
    yield
    alone_says(
        database,
        "SET SESSION CHARACTERISTICS AS TRANSACTION READ WRITE",
        "COMMIT",
        f"ALTER DATABASE {name} RESET default_transaction_read_only",
    )
    database.close()


def test_a_database_that_may_only_be_read(sender: Sender) -> None:
    database = sender.browser.ledger.database
    before = content(database)
    with read_only(database):
        is_told(sender.state(), "readonly" if database.is_sqlite else "read-only transaction")
        is_told(sender.open("J1"))
        assert content(database) == before
        assert "J3" in sender.browser.get("/")
        sender.browser.get("/jobs/J3/facts")
    assert sender.state().status_code == 200


@contextmanager
def held(database: Database, mode: str = "EXCLUSIVE") -> Iterator[None]:
    """Another program holds the database, for writing or altogether, and does not let go."""
    other = Database(database.url.render_as_string(hide_password=False))
    with other.writing() as session:
        session.execute(text("SELECT 1" if other.is_sqlite else f"LOCK TABLE jobs IN {mode} MODE"))
        yield
    other.close()


@pytest.fixture
def hasty(sender: Sender, monkeypatch: pytest.MonkeyPatch) -> Iterator[Database]:
    """The database of an app that does not wait for long."""
    monkeypatch.setattr("tappetry.store.database.PATIENCE", 0.2)
    made = Database(sender.browser.ledger.database.url.render_as_string(hide_password=False))
    monkeypatch.setattr(sender.browser.ledger, "database", made)
    yield made
    made.close()


def test_a_database_that_another_program_holds(sender: Sender, hasty: Database) -> None:
    before = content(hasty)
    with held(hasty):
        is_told(sender.state(), "database is locked" if hasty.is_sqlite else "lock timeout")
        is_told(sender.open("J1"))
        assert content(hasty) == before
        assert "J3" in sender.browser.get("/")
    assert sender.state().status_code == 200
    assert sender.open("J1").status_code == 200


@pytest.mark.parametrize("database", ["postgresql"], indirect=True)
def test_a_table_that_another_program_holds_altogether(sender: Sender, hasty: Database) -> None:
    with held(hasty, "ACCESS EXCLUSIVE"):
        is_told(sender.browser.client.get("/jobs"), "lock timeout")
    assert "J3" in sender.browser.get("/jobs")


@pytest.mark.parametrize("database", ["postgresql"], indirect=True)
def test_a_connection_that_breaks_in_the_middle_of_an_act(
    sender: Sender, monkeypatch: pytest.MonkeyPatch
) -> None:
    database = sender.browser.ledger.database
    before = content(database)

    def breaks(session: Any, *words: Any) -> None:
        session.execute(text("SELECT pg_terminate_backend(pg_backend_pid())"))

    with monkeypatch.context() as patch:
        patch.setattr("tappetry.services.ledger.jobs.change_job", breaks)
        is_told(sender.state(), "terminating connection")
    assert content(database) == before
    assert sender.state().status_code == 200


@pytest.fixture
def server() -> Iterator[Server]:
    """A PostgreSQL server that may be stopped."""
    with own_server() as made:
        made.execute("CREATE DATABASE shop")
        yield made


def test_a_server_that_stops_and_starts_again(server: Server, monkeypatch: pytest.MonkeyPatch) -> None:
    database = Database(server.url("shop"))
    migrate(database)
    ledger = Ledger(demo(), database, papers_once(), lambda: NOON)
    monkeypatch.setattr(ledger.working, "_known", OrderedDict(WORKED_OUT))
    browser = Browser(ledger)
    browser.open("J3")
    app = opened_to_others(ledger)
    visitor = Visitor(app)
    visitor.log_in(name_of(Role.OWNER))
    assert visitor.client.get("/").status_code == 200
    sender = Sender(browser)
    before = content(database)

    token = visitor.token("/jobs/J3/facts")

    server.stop()
    typed = "What you typed, to be copied"
    is_told(sender.state(), typed, "90000 km")
    said = {"token": token, "version": "1", "attribute": "mileage", "value": "91000 km", "password": WORDS}
    answer = visitor.client.post("/jobs/J3/facts", data=said)
    is_told(answer, typed, "91000 km")
    assert WORDS not in answer.text
    for address in ("/", "/jobs", "/jobs/J3/facts", "/shop"):
        is_told(browser.client.get(address))
        is_told(visitor.client.get(address))
    is_told(visitor.client.get("/c/a-link-of-a-customer"))
    program = TestClient(app, base_url="https://tappetry.test", raise_server_exceptions=False)
    answer = program.get("/api/1/jobs", headers={"Authorization": "Bearer a"})
    assert (answer.status_code, answer.json()["kind"]) == (503, "store-unavailable")
    assert browser.client.get("/calculators").status_code == 200

    server.run()
    assert content(database) == before
    assert sender.state().status_code == 200
    assert visitor.client.get("/jobs/J3/facts").status_code == 200
    database.close()
