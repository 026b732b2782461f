"""What workers do for each kind of long work."""

from __future__ import annotations

from collections.abc import Mapping

from tappetry.services import curves, price_look, search_tasks, text_check
from tappetry.services.queue import Work

WORKS: Mapping[str, Work] = {
    curves.KIND: curves.work_curve,
    search_tasks.KIND: search_tasks.work_search,
    text_check.KIND: text_check.work_check,
    price_look.KIND: price_look.work_price_look,
}
