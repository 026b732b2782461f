"""Writes docs/reference/external-checks.md: every outside check, what it prints, and what comes out here."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path
from typing import Any

from tests.checks.binding import adapters
from tests.checks.reading import Check, checks

PAGE = Path(__file__).resolve().parents[1] / "docs" / "reference" / "external-checks.md"
#: Differences below this share of the value are those of binary numbers, and not worth a figure.
ROUNDING = 1e-9

HEAD = """\
# Outside checks

Every number here came from outside the program: a published table, a worked example of a textbook, a
general-purpose library, an identity. `python -m scripts.external_checks` writes this page from
`tests/checks`, where a test runs each check within its stated tolerance and sees that the classic mistakes
do not pass; another test sees that the page is up to date. How a check is put to the calculations stands
[beside them](../../tests/checks/README.md).

*Printed* is what the source prints, where it is known; otherwise the value to all its digits, which was
worked out by an independent method, or with the same formula written down a second time. The *difference* is
that of the computed from the printed value. *From memory* means that the source was not open when the value
was written down; *constants from memory* that the correlation's constants were not, and are not to be relied
on before they have been looked up.

"""
TABLE = """\
| check | result | printed | computed | difference | from memory |
| --- | --- | --- | --- | --- | --- |
"""


def text() -> str:
    """The whole page."""
    return HEAD + _summary() + "".join(_topics())


def _summary() -> str:
    results = sum(len(check.expected) for check in checks().values())
    mistakes = sum(len(adapter.mistakes) for adapter in adapters().values())
    return (
        f"{len(checks())} checks with {results} results, all put to the registry; {mistakes} classic "
        "mistakes are made and seen.\n"
    )


def _topics() -> Iterator[str]:
    for topic, group in groupby(checks().values(), key=lambda check: check.topic):
        several = list(group)
        yield f"\n## {topic[0].upper()}{topic[1:]}\n\n"
        yield from (f"- **{check.id}**: {_source(check)}\n" for check in several)
        yield f"\n{TABLE}"
        for check in several:
            yield from _rows(check)


def _source(check: Check) -> str:
    note = f". {check.note}" if check.note else ""
    return f"{check.source} ({check.kind}, {check.derivation}){note}".replace("*", r"\*").replace("|", r"\|")


def _rows(check: Check) -> Iterator[str]:
    results = adapters()[check.id].results()
    for key, (expected, unit) in check.expected.items():
        printed = check.published[key][0] if key in check.published else expected
        value, difference = results[key], _difference(results[key], printed)
        # What is 0 but for its rounding differs in that from processor to processor.
        cells = [_figure(printed, unit), _figure(0 if printed == 0 and difference == "none" else value, unit)]
        cells.append(difference)
        yield f"| {' | '.join([check.id, key.replace('|', chr(92) + '|'), *cells, _memory(check)])} |\n"


def _figure(value: Any, unit: str) -> str:
    if isinstance(value, str):
        return value
    return f"{value:.7g}{'' if unit in ('-', 'text', 'year') else f' {unit}'}"


def _difference(value: Any, printed: Any) -> str:
    if isinstance(value, str):
        return "none" if value == printed else "another"
    size = abs(value - printed)
    if size <= ROUNDING * max(abs(printed), 1e-3):
        return "none"
    return f"{(value - printed) / abs(printed):+.1e}" if printed else f"{value - printed:+.1e} absolute"


def _memory(check: Check) -> str:
    if check.constants_from_memory:
        return "yes, constants too"
    return "yes" if check.from_memory else "no"


def main() -> int:
    """Write the page."""
    PAGE.write_text(text(), encoding="utf-8")
    print(f"docs/reference/{PAGE.name}: {len(checks())} checks")
    return 0


if __name__ == "__main__":
    sys.exit(main())
