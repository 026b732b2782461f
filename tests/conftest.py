"""What every test shares: how many random examples a property is tried on, and texts that are parsed once.

`quick` draws the same examples on every run, so that a red test stays red until it is mended.
`make soak` takes the other profile, which draws new ones, and many more of them.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from functools import lru_cache

import pytest
from hypothesis import HealthCheck, settings

from tappetry.knowledge import text
from tappetry.store.database import Database
from tests.databases import KINDS, Databases, databases

settings.register_profile("quick", derandomize=True, deadline=None)
settings.register_profile(
    "soak", max_examples=5_000, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("quick")


def pytest_collection_finish() -> None:
    """What collection has made stays to the end: the garbage collector need not look through it again."""
    gc.freeze()


@pytest.fixture(scope="session", autouse=True)
def _parsed_once() -> Iterator[None]:
    """Copies of the invented shop differ in one file: the text of the others is parsed once for all tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(text, "parse_yaml", lru_cache(maxsize=None)(text.parse_yaml))
        yield


@pytest.fixture(scope="session")
def all_databases(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Databases]:
    """Where databases of either kind come from; the server is started by the first test that needs it."""
    with databases(tmp_path_factory.mktemp("databases")) as made:
        yield made


@pytest.fixture(params=KINDS)
def database(request: pytest.FixtureRequest, all_databases: Databases) -> Iterator[Database]:
    """An empty store, once on each database."""
    made = all_databases.new(request.param)
    yield made
    made.close()
    all_databases.drop(made)
