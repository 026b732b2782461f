"""One copy of the invented shop for all tests of the command line, and a way to call a command."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from tappetry.presentation import papers
from tappetry.presentation.quote import Quote
from tappetry.services import kits
from tappetry.services import shop as shops
from tappetry.services.kits import KitResult
from tappetry.services.shop import Shop, make_demo_shop


@pytest.fixture(scope="session")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """The invented shop in a folder of its own, named by TAPPETRY_HOME."""
    made = make_demo_shop(tmp_path_factory.mktemp("home") / "shop")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TAPPETRY_HOME", str(made.folder))
        yield made


@pytest.fixture(scope="session")
def job(shop: Shop) -> Path:
    """A job with phaser, deactivation and both heads off."""
    return shop.jobs / "J1.yaml"


@pytest.fixture(scope="session", autouse=True)
def _remembered(shop: Shop) -> Iterator[None]:
    """The shop is read, its job solved and its quote worked out once.

    A test that needs them anew puts the functions back, or takes a copy of the job in another folder.
    """
    solve, look, quote = kits.kit_for_file, shops.open_shop, papers.quote_of
    known = cache(solve)
    quotes: dict[tuple[int, date], tuple[KitResult, Quote]] = {}

    def kit_for_file(where: Shop, file: Path) -> KitResult:
        return known(where, file) if file.parent == shop.jobs else solve(where, file)

    def open_shop(folder: Path | None = None) -> Shop:
        return shop if folder is None and shops.home() == shop.folder else look(folder)

    def quote_of(where: Shop, result: KitResult, on: date) -> Quote:
        key = id(result), on
        if key not in quotes:
            quotes[key] = result, quote(where, result, on)
        return quotes[key][1]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(papers, "quote_of", quote_of)
        patch.setattr(kits, "kit_for_file", kit_for_file)
        patch.setattr(shops, "open_shop", open_shop)
        yield
