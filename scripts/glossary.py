"""Writes docs/glossary.md from the handbook's quantities and the words of the trade: one name for each."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import yaml

from tappetry.engineering.glossary import QUANTITIES, Quantity

WORDS = Path(__file__).with_name("trade-words.yaml")
GLOSSARY = Path(__file__).resolve().parents[1] / "docs" / "glossary.md"

HEAD = """\
# Glossary

One name for each quantity, and one meaning for each word. `python scripts/glossary.py` writes this page from
the handbook's own list of quantities and from `scripts/trade-words.yaml`; a test sees that it is up to date.

## Words
"""
QUANTITIES_HEAD = """\
## Quantities

Functions of the handbook take and give SI values under these names; units of the trade are for the edge,
where one room converts. A value outside its range is refused: the range is there to catch a wrong unit or
sign, not to judge a part. *Crank* and *cam* say in whose degrees an angle is counted.

| name | unit | range | meaning |
| --- | --- | --- | --- |
"""


def text() -> str:
    """The whole page."""
    return HEAD + "".join(_words()) + "\n" + QUANTITIES_HEAD + "".join(map(_row, _sorted()))


def _words() -> Iterator[str]:
    chapters: dict[str, dict[str, str]] = yaml.safe_load(WORDS.read_text(encoding="utf-8"))
    for title, words in chapters.items():
        yield f"\n### {title}\n\n"
        yield from (f"- **{word}**: {meaning}.\n" for word, meaning in words.items())


def _sorted() -> list[Quantity]:
    return sorted(QUANTITIES.values(), key=lambda quantity: quantity.name)


def _row(quantity: Quantity) -> str:
    meaning = f"{quantity.meaning} (*{quantity.qualifier}*)" if quantity.qualifier else quantity.meaning
    cells = (f"`{quantity.name}`", quantity.unit, quantity.range.text(), meaning)
    return f"| {' | '.join(cells)} |\n"


def main() -> int:
    """Write the page."""
    GLOSSARY.write_text(text(), encoding="utf-8")
    print(f"docs/{GLOSSARY.name}: {len(QUANTITIES)} quantities")
    return 0


if __name__ == "__main__":
    sys.exit(main())
