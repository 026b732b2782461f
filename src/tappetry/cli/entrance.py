"""Who may reach the server: this machine alone, or others by an encrypted connection and an account."""

from __future__ import annotations

import argparse
import socket
import ssl
from dataclasses import dataclass
from ipaddress import ip_address
from pathlib import Path
from typing import TYPE_CHECKING

from tappetry.records.problems import BadInput, Where

if TYPE_CHECKING:
    from tappetry.web.security import Entrance

HERE, EVERYWHERE = "127.0.0.1", "0.0.0.0"


@dataclass(frozen=True, slots=True)
class Door:
    """Where the server listens, who is let in, and what encrypts: its certificate, or the proxy before it."""

    host: str
    entrance: Entrance
    certificate: Path | None = None
    key: Path | None = None
    proxy: str = ""

    def address(self, port: int) -> str:
        """Where a browser finds it."""
        if not self.entrance.accounts:
            return f"http://{self.host}:{port}/"
        name = self.entrance.names[0]
        return f"https://{name}/" if self.proxy else f"https://{name}:{port}/"

    @property
    def told(self) -> str:
        """For whom it is open."""
        return "for whoever has an account" if self.entrance.accounts else "on this machine"


def declare_entrance(parser: argparse.ArgumentParser) -> None:
    """The options that let others in."""
    parser.add_argument(
        "--lan", action="store_true", help="let others in who have an account, by https alone"
    )
    parser.add_argument("--certificate", type=Path, metavar="FILE", help="with --lan: the certificate (PEM)")
    parser.add_argument("--key", type=Path, metavar="FILE", help="with --lan: its private key (PEM)")
    parser.add_argument(
        "--proxy", default="", metavar="IP", help="with --lan: a proxy at this address does the encryption"
    )
    parser.add_argument(
        "--name",
        action="append",
        metavar="HOST",
        help="with --lan: a name by which browsers reach it (default: the name of this machine)",
    )
    parser.add_argument("--host", metavar="IP", help="with --lan: the address to listen at")


def read_entrance(arguments: argparse.Namespace) -> Door:
    """The options as they belong together.

    Raises
    ------
    BadInput
        Others are to be let in without encryption, or an option does not belong to the others.
    """
    from tappetry.web.security import Entrance

    given = ("certificate", "key", "proxy", "name", "host")
    if not arguments.lan:
        for option in given:
            if getattr(arguments, option):
                said = "this says how others are let in, and nobody else is"
                raise BadInput.at(Where(f"--{option}"), said, "", "--lan beside it, or neither")
        return Door(HERE, Entrance())
    files = (arguments.certificate, arguments.key)
    if bool(arguments.proxy) == any(files) or (any(files) and not all(files)):
        raise BadInput.at(
            Where("--lan"),
            "passwords and customers' data do not go over an open line",
            "",
            "--certificate FILE --key FILE, or --proxy IP where a proxy does the encryption",
        )
    for option, file in zip(given, files, strict=False):
        if file is not None and not file.is_file():
            raise BadInput.at(Where(f"--{option}"), "there is no such file", file, "a file in PEM")
    if arguments.certificate is not None:
        _must_encrypt(arguments.certificate, arguments.key)
    for option in ("proxy", "host"):
        _must_be_an_address(option, getattr(arguments, option))
    names = tuple(name.lower() for name in arguments.name or [socket.gethostname()])
    behind = HERE if arguments.proxy and ip_address(arguments.proxy).is_loopback else EVERYWHERE
    entrance = Entrance(names, accounts=True)
    return Door(arguments.host or behind, entrance, *files, proxy=arguments.proxy)


def _must_encrypt(certificate: Path, key: Path) -> None:
    """Refuse files that nothing can be encrypted with before the server says that it is open."""
    try:
        # Nobody sits there to be asked for a passphrase; a key that has one is not opened by an empty one.
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, password=lambda: "")
    except OSError as error:
        mismatch = isinstance(error, ssl.SSLError) and error.reason == "KEY_VALUES_MISMATCH"
        said = "the key belongs to another certificate" if mismatch else f"the files cannot be read: {error}"
        raise BadInput.at(
            Where("--certificate, --key"),
            said,
            f"{certificate}, {key}",
            "a certificate and its private key without a passphrase, in PEM, readable by this user",
        ) from None


def _must_be_an_address(option: str, value: str | None) -> None:
    if not value:
        return
    try:
        ip_address(value)
    except ValueError:
        raise BadInput.at(Where(f"--{option}"), "this is no address", value, "such as 127.0.0.1") from None
