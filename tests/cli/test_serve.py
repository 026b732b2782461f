"""`tappetry serve`: the app in a process of its own, bound to this machine."""

from __future__ import annotations

import argparse
import json
import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import httpx
import pytest

from tappetry.cli.schedule import declare_schedule, read_schedule
from tappetry.presentation.kept import papers
from tappetry.services.backups import DAILY, Schedule
from tappetry.services.ledger import ledger_of
from tappetry.services.shop import make_demo_shop
from tappetry.store.database import Database, sqlite_url
from tappetry.store.dump import content, load, read_lines
from tappetry.store.migrate import migrate
from tests.cli.calling import refused
from tests.serving import SERVE, serving


def test_a_taken_port_is_bad_input(job: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        code, error = refused("serve", "--port", port)
    assert code == 3
    assert f"(read: {port}); expected a port that nobody uses, from 1024 to 65535" in error["message"]


@pytest.mark.parametrize("count", [-1, 65])
def test_an_odd_number_of_workers_is_bad_input(count: int) -> None:
    code, error = refused("serve", "--workers", count)
    assert code == 3
    assert f"no such number of processes (read: {count}); expected 0 to 64" in error["message"]


@pytest.mark.parametrize(
    "words", [["--database", "postgresql://shop@nowhere/shop"], ["--lan", "--proxy", "127.0.0.1"]]
)
def test_no_shop_is_begun_where_others_are_let_in(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TAPPETRY_HOME", str(tmp_path))
    code, error = refused("serve", "--port", "0", *words)
    assert code == 3
    assert f"the folder holds no shop (read: {tmp_path.name})" in error["message"]
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_holds_something_else_is_left_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "letters").mkdir()
    monkeypatch.setenv("TAPPETRY_HOME", str(tmp_path))
    code, error = refused("serve", "--port", "0")
    assert code == 3
    assert "the folder holds something else; it is left alone (read: letters)" in error["message"]
    assert [each.name for each in tmp_path.iterdir()] == ["letters"]


@pytest.mark.slow
def test_it_serves_until_it_is_stopped_and_keeps_what_it_was_told(tmp_path: Path) -> None:
    shop = make_demo_shop(tmp_path / "shop")
    with serving(*SERVE, home=shop.folder) as served:
        assert served.address.startswith("http://127.0.0.1:")
        page = httpx.get(f"{served.address}jobs", timeout=20)
    assert page.status_code == 200
    assert "Job files that are not opened yet" in page.text
    beside = sorted(each.name for each in shop.folder.glob("shop.db*"))
    assert beside == ["shop.db"], "whoever copies the file of a server that was stopped has everything"


#: Reads the first page of the server that runs in this process, and says which modules were needed for it.
READER = """
import json, os, signal, socket, sys, threading, time, urllib.request

def read(port):
    while True:
        try:
            socket.create_connection(("127.0.0.1", port)).close()
            break
        except OSError:
            time.sleep(0.01)
    page = urllib.request.urlopen(f"http://127.0.0.1:{port}/").read().decode()
    print(json.dumps({"page": page, "modules": sorted(sys.modules)}), flush=True)
    os.kill(os.getpid(), signal.SIGINT)

threading.Thread(target=read, args=[int(sys.argv[1])], daemon=True).start()
from tappetry.cli import main
raise SystemExit(main(["serve", "--port", sys.argv[1]]))
"""
#: Libraries that take long to come up, and that no page needs before somebody asks for what they do.
HEAVY = {
    "alembic",
    "altair",
    "distributed",
    "jsonschema",
    "llvmlite",
    "numba",
    "optuna",
    "ortools",
    "psycopg",
    "pysat",
    "ruamel",
    "scipy",
    "segno",
    "typst",
    "vl_convert",
}


@pytest.mark.slow
@pytest.mark.parametrize("said", ["Today", "Look around the invented shop"])
def test_the_first_page_needs_nothing_heavy(said: str, tmp_path: Path) -> None:
    home = tmp_path / "shop"
    if said == "Today":
        shop = make_demo_shop(home)
        ledger_of(shop, papers()).database.close()
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        port = taken.getsockname()[1]
    served = subprocess.run(
        [sys.executable, "-c", READER, str(port)],
        env={**os.environ, "TAPPETRY_HOME": str(home)},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    told = json.loads(served.stdout)
    assert said in told["page"]
    assert "fastapi" in told["modules"]
    assert HEAVY & {name.partition(".")[0] for name in told["modules"]} == set()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--backup-hour", "24"], "no such hour (read: 24); expected 0 to 23"),
        (["--keep-backups", "14,8"], "no such numbers (read: 14,8); expected three numbers"),
        (["--keep-backups", "0,8,12"], "no such numbers (read: 0,8,12); expected three numbers"),
        (["--keep-backups", "14,8,-1"], "no such numbers (read: 14,8,-1); expected three numbers"),
    ],
)
def test_an_odd_schedule_of_backups_is_bad_input(words: list[str], said: str) -> None:
    code, error = refused("serve", *words)
    assert code == 3
    assert said in error["message"]


def test_a_schedule_of_backups_is_read_as_it_is_meant(tmp_path: Path) -> None:
    parser = argparse.ArgumentParser()
    declare_schedule(parser)
    assert read_schedule(parser.parse_args([])) == DAILY
    said = ["--backup-folder", str(tmp_path), "--backup-hour", "22", "--keep-backups", "5,4,0"]
    assert read_schedule(parser.parse_args(said)) == Schedule(tmp_path, 22, 5, 4, 0)


@pytest.mark.slow
def test_it_makes_the_backup_of_the_day(tmp_path: Path) -> None:
    shop = make_demo_shop(tmp_path / "shop")
    ledger = ledger_of(shop, papers())
    ledger.new_job((shop.jobs / "J3.yaml").read_text(encoding="utf-8"), "Wren")
    ledger.database.close()
    folder = tmp_path / "other disk"
    with subprocess.Popen(
        [*SERVE, "--workers", "0", "--backup-folder", str(folder)],
        env={**os.environ, "TAPPETRY_HOME": str(shop.folder)},
        stderr=subprocess.DEVNULL,
    ) as served:
        ends = time.monotonic() + 30
        while not list(folder.glob("daily-*")) and time.monotonic() < ends:
            time.sleep(0.05)
        served.send_signal(signal.SIGINT)
        assert served.wait(timeout=20) in (0, 130)  # 130 where it was stopped before it served
    (made,) = folder.iterdir()
    other = Database(sqlite_url(tmp_path / "again"))
    migrate(other)
    kept = content(ledger.database)  # with the shop's text, that the start took up
    assert kept.counts["jobs"] == kept.counts["text_versions"] == 1
    assert load(other, read_lines(made)) == kept
    ledger.database.close()
    other.close()
