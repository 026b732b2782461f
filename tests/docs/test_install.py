"""The page on installing: its commands are ours, its folders are true, and the unit file holds together."""

from __future__ import annotations

import configparser
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from platformdirs.macos import MacOS
from platformdirs.unix import Unix

from tappetry.cli import COMMANDS
from tappetry.cli.dispatch import parser_of
from tappetry.records.problems import BadInput
from tappetry.web.security import LARGEST, LARGEST_LIST, LARGEST_PHOTO

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "docs" / "install.md").read_text(encoding="utf-8")
UNIT = ROOT / "docs" / "tappetry.service"
MOST_EXPOSED = 2.0
"""As `systemd-analyze security` counts, from 0 for nothing to 10 for everything within reach."""


def blocks(kind: str) -> list[str]:
    """The blocks of one kind on the page."""
    return re.findall(rf"^```{kind}\n(.*?)^```", PAGE, re.MULTILINE | re.DOTALL)


def ours(line: str) -> list[str]:
    """The words behind our program in a line; none where the line calls something else."""
    words = shlex.split(line)
    for place, word in enumerate(words):
        if (
            word.rpartition("/")[2] == "tappetry"
            and words[place + 1 : place + 2]
            and words[place + 1] in COMMANDS
        ):
            return words[place + 1 :]
    return []


def unit_lines(name: str) -> list[str]:
    """What a setting of the unit file says, each time that it stands there."""
    return re.findall(rf"^{name}=(.*)$", UNIT.read_text(encoding="utf-8"), re.MULTILINE)


def started() -> list[str]:
    """The command lines that start the service: of the unit file, and of the page's change to it."""
    (changed,) = blocks("ini")
    return [*unit_lines("ExecStart"), *re.findall(r"^ExecStart=(.+)$", changed, re.MULTILINE)]


def test_every_command_of_ours_is_accepted() -> None:
    called = [words for block in blocks("sh") for line in block.splitlines() if (words := ours(line))]
    assert {words[0] for words in called} == {"serve", "audit", "account", "backup", "restore"}
    for words in called:
        parser_of(words[0]).parse_args(words[1:])


def test_a_command_that_is_none_is_refused() -> None:
    with pytest.raises(BadInput, match="unrecognized arguments: --lann"):
        parser_of("serve").parse_args(["--lann"])


def test_both_ways_to_start_are_accepted() -> None:
    behind, with_files = (parser_of("serve").parse_args(ours(line)[1:]) for line in started())
    assert (behind.lan, behind.proxy, behind.certificate) == (True, "127.0.0.1", None)
    assert (with_files.lan, with_files.proxy, bool(with_files.certificate)) == (True, "", True)
    assert with_files.key is not None
    assert behind.name == with_files.name


def test_the_page_and_the_unit_name_the_same_places() -> None:
    (state,) = unit_lines("StateDirectory")
    assert f"TAPPETRY_HOME=/var/lib/{state}" in unit_lines("Environment")
    (program, *_) = shlex.split(started()[0])
    for block in blocks("sh"):
        for line in block.splitlines():
            if ours(line) and "runuser -u" in line:
                assert f"TAPPETRY_HOME=/var/lib/{state} {program} " in line
    (user,) = unit_lines("User")
    assert f"--shell /usr/sbin/nologin {user}\n" in PAGE
    assert unit_lines("EnvironmentFile") == ["-/etc/tappetry/environment"]
    assert "/etc/tappetry/environment\n" in PAGE


def test_a_proxy_as_on_the_page_tells_what_is_believed_and_lets_the_largest_form_through() -> None:
    (proxy,) = blocks("nginx")
    assert re.findall(r"proxy_set_header (\S+) (\S+);", proxy) == [
        ("Host", "$http_host"),
        ("X-Forwarded-Proto", "$scheme"),
        ("X-Forwarded-For", "$remote_addr"),
    ]
    behind = parser_of("serve").parse_args(ours(started()[0])[1:])
    assert f"proxy_pass http://{behind.proxy}:{behind.port};" in proxy
    assert f"server_name {behind.name[0]};" in proxy
    (most,) = re.findall(r"client_max_body_size (\d+)m;", proxy)
    assert int(most) * 2**20 >= max(LARGEST, LARGEST_LIST, LARGEST_PHOTO)


def test_the_unit_file_says_everything_once() -> None:
    parser = configparser.ConfigParser(strict=False, interpolation=None)
    parser.optionxform = str  # type: ignore[assignment,method-assign]
    parser.read(UNIT, encoding="utf-8")
    assert parser.sections() == ["Unit", "Service", "Install"]
    names = re.findall(r"^(\w+)=", UNIT.read_text(encoding="utf-8"), re.MULTILINE)
    assert sorted({name for name in names if names.count(name) > 1}) == ["Environment", "SystemCallFilter"]


def test_systemd_takes_the_unit_file(tmp_path: Path) -> None:
    analyze = shutil.which("systemd-analyze")
    if analyze is None:
        pytest.skip("systemd-analyze is not installed here")
    copy = tmp_path / UNIT.name
    (program, *_) = shlex.split(started()[0])
    copy.write_text(UNIT.read_text(encoding="utf-8").replace(program, sys.executable), encoding="utf-8")
    done = subprocess.run([analyze, "verify", copy], capture_output=True, text=True, check=False, timeout=30)
    said = [line for line in (done.stdout + done.stderr).splitlines() if UNIT.name in line]
    assert (done.returncode, said) == (0, [])
    words = [analyze, "security", "--offline=true", f"--threshold={MOST_EXPOSED * 10:.0f}", copy]
    done = subprocess.run(words, capture_output=True, text=True, check=False, timeout=30)
    assert done.returncode == 0, done.stdout.splitlines()[-1:]


def test_data_lie_where_the_page_says(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    for system, place in (("macOS", MacOS("tappetry")), ("Linux", Unix("tappetry"))):
        said = place.user_data_dir.replace(str(Path.home()), "~")
        assert f"| {system} | `{said}` |" in PAGE
