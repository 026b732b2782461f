"""The wheel: everything is inside, and it runs alone, with the locked libraries and no other."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

import httpx
import pytest

from tests.services.test_begin import SAID, first_job
from tests.serving import serving

ROOT = Path(__file__).resolve().parents[1]
STAMP = ".venv/set-up"

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel as `make wheel` builds it, with the tools beside this Python."""
    place = tmp_path_factory.mktemp("dist")
    tools = Path(sys.executable).parent
    words = ["make", "-s", "-o", STAMP, "wheel", f"BIN={tools}", f"DIST={place}"]
    subprocess.run(words, cwd=ROOT, check=True, capture_output=True, timeout=60)
    (made,) = place.glob("*.whl")
    return made


@pytest.fixture(scope="module")
def program(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The program out of the wheel in an environment that holds the libraries of the lock and no others."""
    place = tmp_path_factory.mktemp("installed") / "venv"
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", place], check=True, timeout=60)
    (libraries,) = place.glob("lib/python*/site-packages")
    for source in locked():
        if not (libraries / source.name).exists():
            (libraries / source.name).symlink_to(source)
    installer = Path(sys.executable).with_name("uv")
    words = [
        installer,
        "pip",
        "install",
        "--quiet",
        "--offline",
        "--no-deps",
        "--python",
        place / "bin/python",
    ]
    subprocess.run([*words, wheel], check=True, capture_output=True, timeout=60)
    return place / "bin" / "tappetry"


def locked() -> Iterator[Path]:
    """What stands in the folder of libraries for each one that the lock names for running."""
    lock = (ROOT / "requirements" / "run.txt").read_text(encoding="utf-8")
    for name, version, only in re.findall(r"^([\w.-]+)==(\S+) *(;[^\\]*)?", lock, re.MULTILINE):
        try:
            found = distribution(name)
        except PackageNotFoundError:
            assert only, f"{name} is not installed"  # of another platform or another Python
            continue
        assert found.version == version, f"{name} is {found.version} here and {version} in the lock"
        for top in sorted({file.parts[0] for file in found.files or () if file.parts[0] != ".."}):
            if top != "__pycache__":
                yield Path(str(found.locate_file(top)))


def environment(home: Path) -> dict[str, str]:
    """Of somebody who has nothing but the wheel: no folder of the project is on any path."""
    named = {name: value for name, value in os.environ.items() if name in ("PATH", "LANG", "TMPDIR")}
    return {**named, "HOME": str(home.parent), "TAPPETRY_HOME": str(home)}


def said(program: Path, home: Path, *words: str) -> str:
    """What a command prints, in a folder in which nothing of the project lies."""
    done = subprocess.run(
        [program, *words],
        cwd=home.parent,
        env=environment(home),
        check=True,
        capture_output=True,
        text=True,
        timeout=120,
    )
    return done.stdout


def test_everything_of_the_package_is_in_the_wheel(wheel: Path) -> None:
    listing = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard", "src/tappetry"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    )
    files = [name.removeprefix("src/") for name in listing.stdout.split("\0") if name]
    kept = [name for name in files if (ROOT / "src" / name).is_file()]
    with zipfile.ZipFile(wheel) as packed:
        inside = set(packed.namelist())
        other = [
            name
            for name in kept
            if name in inside and packed.read(name) != (ROOT / "src" / name).read_bytes()
        ]
    endings = {Path(name).suffix for name in kept}
    assert {".py", ".yaml", ".csv", ".json", ".typ", ".html", ".css", ".js", ".svg"} <= endings
    assert sorted(set(kept) - inside) == []
    assert other == []


def test_it_says_what_it_does(program: Path, tmp_path: Path) -> None:
    from tappetry import __version__
    from tappetry.cli import COMMANDS

    told = said(program, tmp_path / "home", "--help")
    assert [name for name in COMMANDS if f"  {name} " not in told] == []
    assert said(program, tmp_path / "home", "--version") == f"tappetry {__version__}\n"
    python = program.with_name("python")
    where = [str(python), "-c", "import tappetry; print(tappetry.__file__)"]
    place = subprocess.run(
        where, cwd=tmp_path, env=environment(tmp_path), check=True, capture_output=True, text=True
    )
    assert program.parents[1] in Path(place.stdout.strip()).parents


def test_it_begins_in_an_empty_folder_and_writes_a_quote(program: Path, tmp_path: Path) -> None:
    home = tmp_path / "home"
    home.mkdir()
    words = (program, "serve", "--port", "0", "--workers", "1", "--json")
    with (
        serving(*words, home=home, only=environment(home)) as served,
        httpx.Client(base_url=served.address, timeout=60, follow_redirects=True) as browser,
    ):
        first, style = browser.get("/"), browser.get("/static/app.css")
        (token, *_) = re.findall(r'name="token" value="(\w+)"', first.text)
        page = browser.post("/begin", data={"token": token, **SAID})
        rooms = browser.get("/jobs/new")
    assert [each.status_code for each in (first, style, page, rooms)] == [200] * 4
    assert "The shop has begun" in page.text
    assert (home / "shop.db").is_file()
    job = home / "jobs" / "Q-1.yaml"
    job.write_text(json.dumps(first_job()), encoding="utf-8")
    said(program, home, "quote", str(job), "--out", str(tmp_path / "out"))
    (paper,) = (tmp_path / "out").glob("*quote*.pdf")
    assert paper.read_bytes().startswith(b"%PDF")
