"""`tappetry account`, and `tappetry serve --lan` that asks for what it makes."""

from __future__ import annotations

import io
import json
import re
import shutil
import socket
import ssl
import subprocess
import sys
import warnings
from pathlib import Path
from ssl import TLSVersion as TLS

import httpx
import pytest

from tappetry.services.shop import make_demo_shop
from tests.cli.calling import call, refused
from tests.serving import SERVE, serving

pytestmark = pytest.mark.slow

WORDS = "seven lamps on a quiet pond"


@pytest.fixture
def database(tmp_path: Path) -> str:
    """A database of its own."""
    return f"sqlite:///{tmp_path / 'accounts.db'}"


def typed(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    """What comes by the standard input."""
    monkeypatch.setattr(sys, "stdin", io.StringIO(f"{text}\n"))


def test_accounts_are_made_changed_closed_and_told(
    job: Path, database: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    typed(monkeypatch, WORDS)
    assert (
        call("account", "add", "Wren", "--role", "owner", "--database", database).out == "add: Wren: done\n"
    )
    typed(monkeypatch, WORDS)
    assert call("account", "add", "Sam", "--role", "bench", "--database", database).code == 0
    assert call("account", "role", "Sam", "--role", "desk", "--database", database).code == 0
    assert call("account", "close", "Sam", "--database", database).code == 0
    token = call("account", "token", "books", "--role", "desk", "--database", database, "--json").data[
        "token"
    ]
    assert len(token) == 43
    said = call("account", "list", "--database", database, "--json").data
    assert said["accounts"] == [
        {"name": "Sam", "role": "desk", "closed": True},
        {"name": "Wren", "role": "owner", "closed": False},
    ]
    assert [(each["name"], each["role"], each["writes"], each["ended"]) for each in said["tokens"]] == [
        ("books", "desk", False, False)
    ]
    assert token not in json.dumps(said)
    assert call("account", "end-token", "books", "--database", database).code == 0
    assert call("account", "list", "--database", database).out.count("ended: True") == 1


def test_a_mistake_is_bad_input(job: Path, database: str, monkeypatch: pytest.MonkeyPatch) -> None:
    code, error = refused("account", "add", "Wren", "--role", "boss", "--database", database)
    assert (code, error["message"]) == (
        3,
        "role: there is no such role (read: boss); expected one of owner, counter, bench, desk",
    )
    typed(monkeypatch, "short")
    code, error = refused("account", "add", "Wren", "--role", "owner", "--database", database)
    assert code == 3
    assert "password: the password is not taken: it has 5 signs; expected 12 to 128 signs" in error["message"]
    assert (
        "There is no account Wren."
        in refused("account", "close", "Wren", "--database", database)[1]["message"]
    )
    code, error = refused("account", "token", "x", "--role", "owner", "--database", database)
    assert "role: no program is an owner" in error["message"]
    code, error = refused("account", "token", "x", "--role", "desk", "--days", "401", "--database", database)
    assert "days: a token does not hold so long (read: 401); expected 1 to 400" in error["message"]


@pytest.mark.parametrize(
    "words",
    [(), ("--certificate", "c.pem"), ("--certificate", "c.pem", "--key", "k.pem", "--proxy", "127.0.0.1")],
)
def test_nobody_is_let_in_over_an_open_line(job: Path, words: tuple[str, ...]) -> None:
    code, error = refused("serve", "--lan", *words)
    assert code == 3
    assert "passwords and customers' data do not go over an open line" in error["message"]


def test_options_that_do_not_belong_together_are_bad_input(job: Path, tmp_path: Path) -> None:
    assert "nobody else is" in refused("serve", "--name", "shop.lan")[1]["message"]
    nowhere = tmp_path / "c.pem"
    message = refused("serve", "--lan", "--certificate", nowhere, "--key", nowhere)[1]["message"]
    assert f"--certificate: there is no such file (read: {nowhere})" in message
    assert "this is no address (read: here)" in refused("serve", "--lan", "--proxy", "here")[1]["message"]


def a_pair(folder: Path, *words: str) -> tuple[Path, Path]:
    """A certificate of our own making for this machine, and its key."""
    folder.mkdir()
    certificate, key = folder / "certificate.pem", folder / "key.pem"
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-days", "2",
         "-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost", "-keyout", key, "-out",
         certificate, *words],
        check=True, capture_output=True,
    )  # fmt: skip
    return certificate, key


@pytest.mark.skipif(shutil.which("openssl") is None, reason="makes its certificate with openssl")
def test_files_that_nothing_can_be_encrypted_with_are_bad_input(job: Path, tmp_path: Path) -> None:
    certificate, key = a_pair(tmp_path / "one", "-nodes")
    other = a_pair(tmp_path / "two", "-nodes")[1]
    locked = a_pair(tmp_path / "locked", "-passout", "pass:four words say it")
    for files, said in (
        ((certificate, other), f"the key belongs to another certificate (read: {certificate}, {other})"),
        ((key, certificate), "the files cannot be read: [SSL] PEM lib"),
        (locked, "expected a certificate and its private key without a passphrase, in PEM"),
    ):
        code, error = refused("serve", "--lan", "--certificate", files[0], "--key", files[1])
        assert (code, said in error["message"]) == (3, True), error["message"]


@pytest.mark.skipif(shutil.which("openssl") is None, reason="makes its certificate with openssl")
def test_others_come_in_by_https_with_an_account(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shop = make_demo_shop(tmp_path / "shop")
    certificate, key = a_pair(tmp_path / "pair", "-nodes")
    typed(monkeypatch, WORDS)
    where = ("--database", f"sqlite:///{shop.folder / 'shop.db'}")
    monkeypatch.setenv("TAPPETRY_HOME", str(shop.folder))
    assert call("account", "add", "Wren", "--role", "owner", *where).code == 0
    said = tmp_path / "said"
    lan = (
        *("--workers", "0", "--lan", "--name", "localhost", "--host", "127.0.0.1"),
        *("--certificate", certificate, "--key", key),
    )
    trusted = ssl.create_default_context(cafile=str(certificate))
    patient = httpx.HTTPTransport(verify=trusted, retries=6)
    with (
        serving(*SERVE, *lan, home=shop.folder, said=said) as served,
        httpx.Client(base_url=served.address, transport=patient) as client,
    ):
        assert served.address.startswith("https://localhost:")
        assert client.get("/jobs", timeout=20).headers["location"] == "/login"
        token = re.search(r'name="token" value="(\w+)"', client.get("/login").text)
        assert token is not None
        wrong = {"token": token[1], "name": "Wren", "password": "another one"}
        assert client.post("/login", data=wrong, timeout=20).status_code == 403
        answer = client.post(
            "/login", data={"token": token[1], "name": "Wren", "password": WORDS}, timeout=20
        )
        assert (answer.status_code, answer.headers["location"]) == (303, "/")
        assert "Wren" in client.get("/account").text
        assert client.get("/jobs").status_code == 200
        assert "server" not in client.get("/jobs").headers, "which program answers, and of which version"
        spoke = {version: spoken(served.address, version) for version in (TLS.TLSv1_1, TLS.TLSv1_2)}
    assert spoke[TLS.TLSv1_2] == "TLSv1.2"
    assert spoke[TLS.TLSv1_1] in ENDED
    logged = [line.partition(" tappetry.access: ")[2] for line in said.read_text().splitlines()]
    assert [line for line in logged if line] == [
        "a login failed: 'Wren' from '127.0.0.1'",
        "'Wren' came in from '127.0.0.1'",
    ]
    assert "nobody has an account yet" not in said.read_text()


#: What somebody hears whose version of TLS a server does not speak: it says so, or hangs up.
ENDED = ("TLSV1_ALERT_PROTOCOL_VERSION", "UNEXPECTED_EOF_WHILE_READING", "ConnectionResetError")


def spoken(address: str, version: TLS) -> str:
    """Which version of TLS a server agrees on with whoever speaks that one alone, or why on none."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
    context.set_ciphers("DEFAULT:@SECLEVEL=0")  # what is older is spoken at this level alone
    with warnings.catch_warnings(action="ignore", category=DeprecationWarning):
        context.minimum_version = context.maximum_version = version
    where = ("127.0.0.1", httpx.URL(address).port)
    try:
        with socket.create_connection(where, 20) as line, context.wrap_socket(line) as encrypted:
            return encrypted.version() or ""
    except OSError as error:
        return getattr(error, "reason", "") or type(error).__name__


def test_behind_a_proxy_what_came_by_an_open_line_is_not_answered(tmp_path: Path) -> None:
    shop = make_demo_shop(tmp_path / "shop")
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        port = taken.getsockname()[1]
    words = ("--workers", "0", "--lan", "--name", "shop.test", "--proxy", "127.0.0.1", "--port", port)
    patient = httpx.HTTPTransport(retries=6)
    said = tmp_path / "said"
    with (
        serving(*SERVE, *words, home=shop.folder, said=said) as served,
        httpx.Client(transport=patient) as client,
    ):
        assert served.address == "https://shop.test/"
        assert "nobody has an account yet; make the first by `tappetry account add" in said.read_text()
        here = f"http://127.0.0.1:{port}/login"
        plain = client.get(here, headers={"host": "shop.test"}, timeout=20)
        assert (plain.status_code, plain.text) == (421, "This server answers by https alone.")
        passed = {"host": "shop.test", "x-forwarded-proto": "https", "x-forwarded-for": "10.1.2.3"}
        assert client.get(here, headers=passed).status_code == 200
