"""Draws the pictures of README and docs anew from the invented shop: a quote's first page, a kit, proofs."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pypdfium2
from PIL import Image
from rich.console import RenderableType
from rich.terminal_theme import TerminalTheme

from tappetry.presentation.papers import quote_of
from tappetry.presentation.quote import quote_pdf
from tappetry.presentation.tables import console, lines_table, proofs_table, totals_table
from tappetry.services.doubts import doubted
from tappetry.services.kits import KitResult, kit_for_file
from tappetry.services.shop import Shop, demo_folder

PICTURES = Path(__file__).resolve().parents[1] / "docs" / "pictures"
DOTS_PER_INCH, POINTS_PER_INCH = 96, 72
COLOURS = 32
COLUMNS = 108

#: Ink on paper; the colours are those of the verdicts, and every verdict is also in words.
PAPER = TerminalTheme(
    (252, 252, 250),
    (40, 40, 40),
    [
        (40, 40, 40),
        (170, 30, 30),
        (20, 110, 50),
        (150, 95, 0),
        (30, 70, 150),
        (120, 50, 120),
        (0, 100, 120),
        (90, 90, 90),
    ],
)
#: A plain sheet that asks nobody for a font.
SHEET = """\
<svg viewBox="0 0 {width} {height}" xmlns="http://www.w3.org/2000/svg">
<style>
.{unique_id}-matrix {{ font: {char_height}px "DejaVu Sans Mono", monospace; }}
{styles}
</style>
<defs>
<clipPath id="{unique_id}-clip-terminal">
<rect x="0" y="0" width="{terminal_width}" height="{terminal_height}"/>
</clipPath>
{lines}
</defs>
<rect width="{width}" height="{height}" fill="#fcfcfa"/>
<g transform="translate({terminal_x}, {terminal_y})" clip-path="url(#{unique_id}-clip-terminal)">
{backgrounds}
<g class="{unique_id}-matrix">
{matrix}
</g>
</g>
</svg>
"""


def terminal(name: str, *shown: RenderableType) -> str:
    """What a terminal shows, as SVG."""
    speaking = console(io.StringIO(), COLUMNS)
    speaking.record = True
    for each in shown:
        speaking.print(each)
    return speaking.export_svg(theme=PAPER, code_format=SHEET, unique_id=name, font_aspect_ratio=0.6)


def first_page(pdf: bytes) -> bytes:
    """The first page of a paper as a small PNG."""
    page = pypdfium2.PdfDocument(pdf)[0]
    picture: Image.Image = page.render(scale=DOTS_PER_INCH / POINTS_PER_INCH).to_pil()
    held = io.BytesIO()
    picture.quantize(COLOURS).save(held, "PNG", optimize=True)
    return held.getvalue()


def main() -> int:
    """Draw every picture and name it."""
    shop = Shop(demo_folder())
    titles = {need.id: need.title for need in shop.knowledge.needs.values()}

    def kit_of(job: str) -> KitResult:
        return kit_for_file(shop, shop.jobs / f"{job}.yaml")

    sedan, pickup = kit_of("J1"), kit_of("J3")
    assert pickup.kit.totals is not None
    drawn = {
        "quote.png": first_page(quote_pdf(quote_of(shop, sedan, sedan.job.date))),
        "kit.svg": terminal("kit", lines_table(pickup.kit, titles), totals_table(pickup.kit.totals)).encode(),
        "proofs.svg": terminal("proofs", proofs_table(doubted(shop, sedan).kit.proofs)).encode(),
    }
    PICTURES.mkdir(parents=True, exist_ok=True)
    for name, data in drawn.items():
        (PICTURES / name).write_bytes(data)
        print(f"{PICTURES.name}/{name}: {len(data) // 1000} kB")
    return 0


if __name__ == "__main__":
    sys.exit(main())
