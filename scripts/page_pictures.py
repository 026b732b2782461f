"""Makes pictures of every page of the shop app, on a desk and on a phone, in light and dark, to look at."""

from __future__ import annotations

import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Literal

from playwright.sync_api import sync_playwright

from tests.browser.desk import CHROMIUM, DESK, HEIGHT, PHONE, SWITCHES, demo_served
from tests.browser.reader import pages_of

BAD_INPUT = 3
SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")


def name_of(entry: str) -> str:
    """A name for the pictures of a page, from its entry in the app's table."""
    return "-".join(piece.strip("{}") for piece in entry.strip("/").split("/")) or "today"


def main(arguments: list[str]) -> int:
    """Write NAME-WIDTH-SCHEME.png for each page into a folder."""
    if len(arguments) != 1:
        print("usage: page_pictures.py FOLDER-FOR-PICTURES", file=sys.stderr)
        return BAD_INPUT
    folder = Path(arguments[0])
    folder.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory() as shop, demo_served(Path(shop), "") as served, sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=SWITCHES)
        page = browser.new_page(base_url=served.address, reduced_motion="reduce")
        for entry, address in pages_of(served).items():
            page.goto(address.removeprefix("/"), wait_until="networkidle")
            for width in (DESK, PHONE):
                page.set_viewport_size({"width": width, "height": HEIGHT})
                for scheme in SCHEMES:
                    page.emulate_media(color_scheme=scheme)
                    picture = folder / f"{name_of(entry)}-{width}-{scheme}.png"
                    page.screenshot(path=picture, full_page=True)
                    print(picture)
        browser.close()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
