"""A server in a process of its own, and the address that it says: `tappetry serve` and what is beside it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryFile

#: `tappetry serve` by the Python that runs this, at a port that is free; what follows is added to it.
SERVE = (
    sys.executable, "-c", "from tappetry.cli import main; raise SystemExit(main())", "serve", "--json",
    "--port", "0",
)  # fmt: skip
#: How long a server may take to end. [s]
END = 30


@dataclass(frozen=True, slots=True)
class Served:
    """A server that runs: its address with a stroke at the end, and its process."""

    address: str
    process: int


@contextmanager
def serving(
    *words: object,
    home: Path,
    only: Mapping[str, str] | None = None,
    said: Path | None = None,
    end: signal.Signals = signal.SIGINT,
) -> Iterator[Served]:
    """Run a server by the words of its command, which says its address as JSON, and end it by a signal.

    Parameters
    ----------
    home : Path
        The folder of the shop.
    only : mapping of str to str, optional
        The environment, where it is another one than that of the tests.
    said : Path, optional
        The file that takes what it says on its standard error stream.
    """
    with (
        TemporaryFile("w+") if said is None else said.open("w+") as complaints,
        subprocess.Popen(
            [str(word) for word in words],
            cwd=home.parent,
            env={**(os.environ if only is None else only), "TAPPETRY_HOME": str(home)},
            stdout=subprocess.PIPE,
            stderr=complaints,
            text=True,
        ) as process,
    ):
        try:
            assert process.stdout is not None
            told = ""
            while not told.endswith("}\n"):
                line = process.stdout.readline()
                if not line:
                    complaints.seek(0)
                    raise AssertionError(f"the server ended before it was open: {complaints.read()}")
                told += line
            yield Served(json.loads(told)["address"], process.pid)
        finally:
            process.send_signal(end)
            process.wait(END)
