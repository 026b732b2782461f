"""Copies of the demo shop differ in one file: the text of the others is parsed once for all tests."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import pytest

from tappetry.knowledge import schema, text
from tappetry.knowledge.text import Document


@pytest.fixture(scope="session", autouse=True)
def _parsed_once() -> Iterator[None]:
    check = schema.check
    passed: dict[tuple[int, str], Document] = {}

    def checked_once(document: Document, name: str) -> None:
        if passed.get((id(document), name)) is not document:
            check(document, name)
            passed[id(document), name] = document

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(text, "parse_yaml", lru_cache(maxsize=None)(text.parse_yaml))
        patch.setattr(schema, "check", checked_once)
        yield
