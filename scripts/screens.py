"""Turns every PDF of a folder into one PNG picture a page, to look at what the documents show."""

from __future__ import annotations

import sys
from pathlib import Path

import pypdfium2

DOTS_PER_INCH = 110
POINTS_PER_INCH = 72
BAD_INPUT = 3


def render(document: Path, folder: Path) -> list[Path]:
    """Write each page of `document` to `folder` as NAME-01.png, NAME-02.png and so on."""
    pictures = []
    with pypdfium2.PdfDocument(document) as pages:
        for number, page in enumerate(pages, start=1):
            picture = folder / f"{document.stem}-{number:02d}.png"
            page.render(scale=DOTS_PER_INCH / POINTS_PER_INCH).to_pil().save(picture)
            pictures.append(picture)
    return pictures


def main(arguments: list[str]) -> int:
    """Render all PDFs at any depth below the first folder into the second."""
    if len(arguments) != 2:
        print("usage: screens.py FOLDER-OF-PDFS FOLDER-FOR-PICTURES", file=sys.stderr)
        return BAD_INPUT
    source, folder = map(Path, arguments)
    documents = sorted(source.rglob("*.pdf"))
    if not documents:
        print(f"screens: no PDF in {source}/; run 'make demo' first", file=sys.stderr)
        return BAD_INPUT
    for document in documents:
        target = folder / document.parent.relative_to(source)
        target.mkdir(parents=True, exist_ok=True)
        for picture in render(document, target):
            print(picture)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
