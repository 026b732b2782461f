"""Work for tests of workers: counts slowly, fails, or brings its own process down."""

from __future__ import annotations

import os
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tappetry.records.problems import Refusal
from tappetry.services.queue import Report
from tappetry.services.shop import Shop


def count(shop: Shop, task: Mapping[str, Any], report: Report) -> dict[str, Any]:
    """Count, and tell each number."""
    for number in range(1, task["to"] + 1):
        report(number / task["to"], f"at {number}")
        time.sleep(task.get("pause", 0.0))
    return {"counted": task["to"], "by": os.getpid()}


def refuse(shop: Shop, task: Mapping[str, Any], report: Report) -> dict[str, Any]:
    """What cannot be done."""
    raise Refusal("Nobody can count so far.", ways_out=["count less"])


def break_down(shop: Shop, task: Mapping[str, Any], report: Report) -> dict[str, Any]:
    """A fault of the program."""
    raise ZeroDivisionError("by nought")


def die_once(shop: Shop, task: Mapping[str, Any], report: Report) -> dict[str, Any]:
    """The process is gone without a word at the first try; the second is done."""
    mark = Path(task["mark"])
    if not mark.exists():
        mark.write_text("was here", encoding="utf-8")
        os._exit(1)
    return {"done": True}


WORKS = {"count": count, "refuse": refuse, "break": break_down, "die": die_once}
