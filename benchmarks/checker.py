"""The independent check of a finished kit, beside the solve that made it."""

from __future__ import annotations

from collections.abc import Iterator

from benchmarks.demo_shop import jobs_of, question, shop
from benchmarks.pairs import Pair, Size, pair
from tappetry.kitting.checker import check_kit
from tappetry.kitting.resolve import resolve
from tappetry.services.kits import kit_for_job


def measure(size: Size) -> Iterator[Pair]:
    knowledge, catalogue = shop().knowledge, shop().catalogue
    for job in jobs_of(size):
        asked = question(job)
        kit = kit_for_job(shop(), job).kit

        def check(asked=asked, kit=kit) -> None:
            complaints = check_kit(kit, asked.request.fixed, asked.request.plan, knowledge, catalogue)
            assert not complaints, complaints

        yield pair(
            f"kit of {job.id} checked",
            check,
            "its solve",
            lambda asked=asked: resolve(asked.request, asked.facts),
            size.rounds,
        )
