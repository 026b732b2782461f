"""An old quote at other prices, as tables for a person."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from rich.text import Text

from tappetry.cli.tables import table
from tappetry.presentation import words

if TYPE_CHECKING:
    from rich.console import RenderableType

    from tappetry.services.reprice import Repriced


def pages(found: Repriced) -> Iterator[RenderableType]:
    """Whether the quote stands, the lines that cost another price now, and the sums."""
    old, new = found.then, found.now
    state = "it stands as it is" if found.stands else "it is priced again before it is accepted"
    yield Text(
        f"Quote {found.old.job} of {words.day(found.quoted)}, good until {words.day(found.last)}; "
        f"on {words.day(found.today)} {state}.",
        style="bold",
    )
    if found.changes:
        yield table(
            ("part", "what", "units", "each then", "each now", "line", "cost to the shop"),
            (
                (
                    line.part,
                    line.description,
                    str(line.new_quantity),
                    words.amount(was.unit_price),
                    words.amount(now.unit_price),
                    f"{line.difference:+,.2f}",
                    f"{line.cost_difference:+,.2f}",
                )
                for line in found.changes
                if (was := line.old) is not None and (now := line.new) is not None
            ),
            right=("units", "each then", "each now", "line", "cost to the shop"),
        )
    else:
        yield Text("No price has changed.")
    yield table(
        ("", "then", "now", "difference"),
        (
            (name, words.amount(then), words.amount(now), f"{now - then:+,.2f}")
            for name, then, now in (
                ("parts", old.parts, new.parts),
                ("work done outside", old.services, new.services),
                ("our work", old.labour, new.labour),
                ("shop supplies", old.supplies, new.supplies),
                ("tax", old.tax, new.tax),
                (f"total {new.currency}", old.total, new.total),
                ("cost of the parts to the shop", old.parts_cost, new.parts_cost),
            )
        ),
        right=("then", "now", "difference"),
    )
    yield Text(
        f"Margin on parts {old.margin_percent} % then, {new.margin_percent} % now; "
        f"markup {old.markup_percent} % then, {new.markup_percent} % now.",
        style="dim",
    )
