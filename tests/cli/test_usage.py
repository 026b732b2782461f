"""Starting the program: help, version, words that it does not know, and nothing heavy on the way."""

from __future__ import annotations

import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

from tappetry import __version__
from tappetry.cli import COMMANDS
from tests.cli.calling import call, refused

HEAVY = ("numpy", "numba", "scipy", "ortools", "rich", "typst", "jsonschema_rs", "yaml", "platformdirs")
REFERENCE = Path(__file__).resolve().parents[2] / "docs" / "reference" / "commands.md"


def loaded_after(statement: str) -> set[str]:
    """The heavy libraries that a statement loads in a fresh interpreter."""
    probe = f"import sys; {statement}; print(*(set({HEAVY!r}) & set(sys.modules)), file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", probe], check=True, capture_output=True, text=True)
    return set(done.stderr.split())


def test_the_probe_sees_a_heavy_library() -> None:
    assert loaded_after("import yaml") == {"yaml"}


def test_the_command_line_loads_nothing_heavy() -> None:
    assert loaded_after("import tappetry.cli") == set()


@pytest.mark.parametrize(
    "words", [["--help"], ["--version"], ["kit", "--help"], ["calc", "--help"], ["simulate", "--help"]]
)
def test_help_loads_nothing_heavy(words: list[str]) -> None:
    assert loaded_after(f"import tappetry.cli; tappetry.cli.main({words!r})") == set()


def test_help_names_every_command_and_what_it_does() -> None:
    said = call("--help")
    assert said.code == 0
    assert said.err == ""
    assert all(f"  {name} " in said.out and what in said.out for name, what in COMMANDS.items())
    assert call().out == call("-h").out == call("help").out == said.out


def test_version() -> None:
    assert call("--version").out == f"tappetry {__version__}\n"


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_a_module_and_help(command: str) -> None:
    assert import_module(f"tappetry.cli.{command}").run
    said = call(command, "--help")
    assert said.code == 0
    assert said.out.startswith(f"usage: tappetry {command} ")
    assert "--json" in said.out


def test_unknown_command_names_the_closest() -> None:
    said = call("kti")
    assert said.code == 3
    assert said.out == ""
    assert said.err == "tappetry: there is no such command; did you mean kit? (read: kti)\n"


def test_unknown_command_without_a_close_one_lists_all() -> None:
    code, error = refused("zzzz")
    assert code == 3
    assert error["kind"] == "bad-input"
    assert error["message"] == (
        "tappetry: there is no such command (read: zzzz); expected one of " + ", ".join(COMMANDS)
    )


def test_a_missing_word_is_bad_input_with_the_usage() -> None:
    said = call("kit")
    assert said.code == 3
    assert said.err == (
        "tappetry kit: the following arguments are required: JOB; "
        "expected tappetry kit [-h] [--why] [--json] JOB\n"
    )


def test_an_unknown_option_is_bad_input() -> None:
    code, error = refused("kit", "a.yaml", "--wy")
    assert code == 3
    assert error["where"] == "tappetry kit"
    assert "unrecognized arguments: --wy" in error["message"]


def test_an_option_is_not_guessed_from_its_beginning() -> None:
    assert call("kit", "a.yaml", "--wh").code == 3


def test_stopping_is_told_without_a_trace(monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(arguments: object) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr("tappetry.cli.schema.run", stop)
    said = call("schema", "job")
    assert (said.code, said.out, said.err) == (130, "", "tappetry: stopped\n")


def test_reference_names_every_command_and_option() -> None:
    text = REFERENCE.read_text(encoding="utf-8")
    for command in COMMANDS:
        assert f"## `tappetry {command}" in text
        options = {word.strip("[],") for word in call(command, "--help").out.split() if word[:3] == "[--"}
        assert all(f"`{option}" in text for option in options), (command, options)
