"""What workers do for each kind of long work."""

from __future__ import annotations

from collections.abc import Mapping

from tappetry.services import curves, search_tasks, text_check
from tappetry.services.queue import Work

WORKS: Mapping[str, Work] = {
    curves.KIND: curves.work_curve,
    search_tasks.KIND: search_tasks.work_search,
    text_check.KIND: text_check.work_check,
}
