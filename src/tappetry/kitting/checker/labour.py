"""Labour: the operations whose conditions hold, each once, at the hours of the book."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from tappetry.kitting.checker.complaint import CheckComplaint
from tappetry.kitting.checker.layout import Layout
from tappetry.kitting.checker.unknowns import open_facts


def check_labour(layout: Layout) -> Iterator[CheckComplaint]:
    """The kit's operations against the book."""
    book = layout.knowledge.operations
    charged = Counter(line.code for line in layout.kit.operations)
    for code, operation in book.items():
        due = layout.values.maybe(operation.when, layout.views)
        if due and not charged[code]:
            text = f"{code} {operation.what}: to be done and not charged"
            yield CheckComplaint("labour-missing", text, code)
        if due is False and charged[code]:
            text = f"{code} {operation.what}: charged and not to be done"
            yield CheckComplaint("labour-extra", text, code)
        if due is None:
            yield from open_facts(layout, code, (operation.when,), layout.views, code)
    for code, times in charged.items():
        if times > 1:
            yield CheckComplaint("labour-twice", f"{code} is charged {times} times", code)
    for line in layout.kit.operations:
        if line.code not in book:
            yield CheckComplaint("labour-extra", f"{line.code} is not in the book", line.code)
        elif line.hours != book[line.code].hours:
            text = f"{line.code} takes {book[line.code].hours} h by the book, the kit says {line.hours}"
            yield CheckComplaint("labour-hours", text, line.code)
    yield from _together(layout, set(charged))


def _together(layout: Layout, charged: set[str]) -> Iterator[CheckComplaint]:
    """Operations that exclude each other, and operations that need another one first."""
    for code, operation in layout.knowledge.operations.items():
        if code not in charged:
            continue
        for other in operation.excludes:
            if other in charged:
                yield CheckComplaint("labour-excluded", f"{code} and {other} exclude each other", code)
        for other in operation.requires:
            if other not in charged:
                yield CheckComplaint("labour-requires", f"{code} needs {other}, which is not charged", code)
