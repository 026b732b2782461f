"""Sends requests that are made up from the interface's own description to a server of the invented shop.

Run by `make soak`. schemathesis makes them up, in an environment of its own (.venv-api); whatever is answered
by a status of 500 or above fails. What a program may send at all is what a person may send: jobs are changed,
kits kept, quotes sent.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import urllib.request
from pathlib import Path

from tappetry.jobs.reader import read_job_text
from tappetry.services.shop import make_demo_shop

ROOT = Path(__file__).resolve().parents[1]
ROOM = ROOT / ".venv-api"
#: How many requests are made up for each address, and how often one may be sent: the server lets so many in.
EXAMPLES, PACE = 40, "18/s"


def main() -> int:
    """The exit code of schemathesis: 0 where no request was answered by a fault."""
    prepare()
    with tempfile.TemporaryDirectory() as folder:
        shop = make_demo_shop(Path(folder) / "shop")
        server = subprocess.Popen(
            [str(ROOT / ".venv/bin/tappetry"), "serve", "--port", "0", "--workers", "0", "--json"],
            env={"TAPPETRY_HOME": str(shop.folder)},
            stdout=subprocess.PIPE,
            text=True,
        )
        try:
            assert server.stdout is not None
            said = ""
            while not said.endswith("}\n"):
                said += server.stdout.readline() or "}\n"
            address = json.loads(said)["address"].rstrip("/")
            for name in ("J1", "J3"):
                text = (shop.jobs / f"{name}.yaml").read_text(encoding="utf-8")
                send(f"{address}/api/1/jobs", read_job_text(text, shop.knowledge, name)[1])
            return subprocess.call(
                [
                    str(ROOM / "bin/schemathesis"),
                    "run",
                    f"{address}/api/1/openapi.json",
                    "--checks=not_a_server_error",
                    f"--max-examples={EXAMPLES}",
                    f"--rate-limit={PACE}",
                    "--request-timeout=90",
                ],
                cwd=folder,
            )
        finally:
            server.terminate()
            server.wait(timeout=30)


def prepare() -> None:
    """Make the environment, where it is not there yet."""
    if (ROOM / "bin/schemathesis").exists():
        return
    print(f"api_requests: making {ROOM.name} with schemathesis (half a minute) ...", flush=True)
    subprocess.run([sys.executable, "-m", "venv", str(ROOM)], check=True)
    lock = ROOT / "requirements/api.txt"
    pip = [str(ROOM / "bin/python"), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    subprocess.run([*pip, "--require-hashes", "-r", str(lock)], check=True)


def send(address: str, document: object) -> None:
    """Open a job."""
    body = json.dumps(document).encode()
    request = urllib.request.Request(address, body, {"Content-Type": "application/json"})
    with urllib.request.urlopen(request) as answer:
        assert answer.status == 201


if __name__ == "__main__":
    raise SystemExit(main())
