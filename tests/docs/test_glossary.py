"""The glossary: up to date, one name for each thing, and nothing left without a meaning."""

from __future__ import annotations

import re
from collections import Counter

import yaml

from scripts.glossary import GLOSSARY, WORDS, text
from tappetry.engineering.glossary import QUANTITIES
from tappetry.records.evidence import Grade
from tappetry.records.verdict import Verdict

PAGE = GLOSSARY.read_text(encoding="utf-8")
#: Words that have a quantity of the same name beside them, which measures what the word says.
SAID_TWICE = {"advance", "preload", "quench", "retard"}


def test_the_page_is_up_to_date() -> None:
    assert text() == PAGE, "docs/glossary.md is old: run 'python scripts/glossary.py'"


def test_every_quantity_stands_there_once() -> None:
    rows = re.findall(r"^\| `(\w+)` \|", PAGE, re.MULTILINE)
    assert rows == sorted(QUANTITIES)


def test_a_word_is_explained_once() -> None:
    words = Counter(re.findall(r"^- \*\*(.+?)\*\*: ", PAGE, re.MULTILINE))
    assert [word for word, count in words.items() if count > 1] == []
    assert not set(words) & set(QUANTITIES) - SAID_TWICE, "a word of the trade that is a quantity already"


def test_no_meaning_is_empty_or_ends_twice() -> None:
    chapters = yaml.safe_load(WORDS.read_text(encoding="utf-8"))
    bad = [
        word
        for words in chapters.values()
        for word, meaning in words.items()
        if not isinstance(word, str) or not str(meaning).strip() or str(meaning).strip().endswith(".")
    ]
    assert bad == []


def test_grades_and_verdicts_of_the_program_are_explained() -> None:
    chapters = yaml.safe_load(WORDS.read_text(encoding="utf-8"))
    assert set(chapters["Verdicts"]) == {verdict.value for verdict in Verdict}
    assert " < ".join(grade.name for grade in sorted(Grade)) in chapters["What is known"]["grade of evidence"]
