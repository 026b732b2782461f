"""Finds the module of a command, reads its words, runs it; bad usage is bad input."""

from __future__ import annotations

import argparse
import sys
from difflib import get_close_matches
from importlib import import_module
from types import ModuleType
from typing import NoReturn

from tappetry.cli import COMMANDS
from tappetry.records.problems import BadInput, Where


class Parser(argparse.ArgumentParser):
    """A parser whose complaints are bad input like any other."""

    def error(self, message: str) -> NoReturn:
        """Refuse the words of a command."""
        usage = " ".join(self.format_usage().removeprefix("usage: ").split())
        raise BadInput.at(Where(self.prog), message, "", usage)


def dispatch(command: str, words: list[str]) -> int:
    """Run a command with its words and return its exit code.

    Raises
    ------
    BadInput
        There is no such command, or it does not take these words.
    """
    if command not in COMMANDS:
        close = get_close_matches(command, COMMANDS, 1)
        hint = f"; did you mean {close[0]}?" if close else ""
        expected = "" if close else "one of " + ", ".join(COMMANDS)
        raise BadInput.at(Where("tappetry"), f"there is no such command{hint}", command, expected)
    for stream in (sys.stdout, sys.stderr):  # a terminal that knows few characters shows ? for the others
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
    try:
        arguments = parser_of(command).parse_args(words)
    except SystemExit as end:  # --help was asked for and has been printed
        return int(end.code or 0)
    code: int = _module(command).run(arguments)
    return code


def parser_of(command: str) -> Parser:
    """What reads the words of a command."""
    parser = Parser(
        prog=f"tappetry {command}",
        description=COMMANDS[command][0].upper() + COMMANDS[command][1:] + ".",
        allow_abbrev=False,
    )
    _module(command).declare(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    return parser


def _module(command: str) -> ModuleType:
    return import_module(f"tappetry.cli.{command}")
