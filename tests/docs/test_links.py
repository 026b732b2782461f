"""Relative links of README and docs lead somewhere, and the pictures are small and used."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
PAGES = [ROOT / "README.md", *sorted(DOCS.rglob("*.md"))]
LINK = re.compile(r"!?\[[^\]]*\]\(([^()\s]+)\)")
HEADING = re.compile(r"^#+ +(.+?) *$", re.MULTILINE)
LARGEST_PICTURE = 250_000


def links_of(page: Path) -> Iterator[str]:
    """The targets of a page's links, code left out."""
    text = re.sub(r"```.*?```|`[^`]*`", "", page.read_text(encoding="utf-8"), flags=re.DOTALL)
    yield from LINK.findall(text)


def anchors_of(page: Path) -> set[str]:
    """What links into a page may name after the #."""
    headings = HEADING.findall(page.read_text(encoding="utf-8"))
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}


def test_every_relative_link_leads_somewhere() -> None:
    broken = []
    for page in PAGES:
        for link in links_of(page):
            if re.match(r"[a-z]+:", link):
                continue
            name, _, anchor = link.partition("#")
            target = (page.parent / name).resolve() if name else page
            if not target.exists() or (anchor and anchor not in anchors_of(target)):
                broken.append(f"{page.relative_to(ROOT)}: {link}")
    assert broken == []


def test_no_link_leaves_the_project() -> None:
    out = [
        f"{page.relative_to(ROOT)}: {link}"
        for page in PAGES
        for link in links_of(page)
        if not re.match(r"[a-z]+:", link) and ROOT not in (page.parent / link).resolve().parents
    ]
    assert out == []


def test_every_page_is_linked_from_another() -> None:
    linked = {
        (page.parent / link.partition("#")[0]).resolve()
        for page in PAGES
        for link in links_of(page)
        if not re.match(r"[a-z]+:", link)
    }
    decisions = DOCS / "decisions"
    alone = [
        str(page.relative_to(ROOT))
        for page in PAGES[1:]
        if page not in linked and not (page.parent == decisions and decisions in linked)
    ]
    assert alone == []


def test_pictures_are_small_and_used() -> None:
    used = {(page.parent / link).resolve() for page in PAGES for link in links_of(page)}
    for picture in sorted((DOCS / "pictures").iterdir()):
        assert picture in used, f"{picture.name} is on no page"
        assert picture.stat().st_size < LARGEST_PICTURE, f"{picture.name} has {picture.stat().st_size} bytes"


def test_broken_links_are_seen(tmp_path: Path) -> None:
    page = tmp_path / "a.md"
    page.write_text(
        "# One, two\n[a](b.md) `[not](code.md)`\n```\n[nor](this.md)\n```\n![p](p.png)[s](#one-two)\n"
    )
    assert list(links_of(page)) == ["b.md", "p.png", "#one-two"]
    assert anchors_of(page) == {"one-two"}
