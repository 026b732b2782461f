"""A person at a browser, and the server that he reaches: pages are used by labels and roles alone."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, ConsoleMessage, Locator, Page, Request, Response, expect

from tappetry.services.shop import make_demo_shop
from tests.serving import SERVE, Served, serving

CHROMIUM = "/usr/bin/chromium"
#: It runs as whoever runs the tests, root too, and fetches nothing for itself.
SWITCHES = ("--no-sandbox", "--disable-gpu", "--disable-background-networking")
#: A screen on the desk, and a phone. [CSS pixel]
DESK, PHONE = 1280, 390
HEIGHT = 900
#: How long a page may take on a machine that does much else. [ms]
PATIENCE = 60_000
#: A page that was left before a part of it was there.
LEFT = "net::ERR_ABORTED"

expect.set_options(timeout=PATIENCE)


@contextmanager
def demo_served(folder: Path, url: str) -> Iterator[Served]:
    """Run `tappetry serve` on a copy of the invented shop in ``folder``, on the database at ``url``."""
    shop = make_demo_shop(folder / "shop")
    words = (*SERVE, "--workers", "0", *(("--database", url) if url else ()))
    with serving(*words, home=shop.folder) as served:
        yield served


class Desk:
    """Somebody at a browser, and what the browser complained of meanwhile.

    With ``bypass`` a test may put a script of its own on the page, which the app's policy does not allow.
    """

    def __init__(self, chromium: Browser, served: Served, width: int, *, bypass: bool = False) -> None:
        self.served = served
        self.complaints: list[str] = []
        self.refused = 0
        self.context = chromium.new_context(
            base_url=served.address,
            viewport={"width": width, "height": HEIGHT},
            reduced_motion="reduce",
            has_touch=width == PHONE,
            bypass_csp=bypass,
        )
        self.context.set_default_timeout(PATIENCE)
        self.page: Page = self.context.new_page()
        self.page.on("console", self._said)
        self.page.on("pageerror", lambda error: self.complaints.append(f"script: {error}"))
        self.page.on("request", self._asked)
        self.page.on("requestfailed", self._failed)
        self.page.on("response", self._answered)

    def close(self) -> None:
        """Leave the desk."""
        self.context.close()

    def go(self, address: str) -> None:
        """Open a page by its address, and wait until all of it is worked out."""
        self.page.goto(address)
        self.is_there()

    @property
    def main(self) -> Locator:
        """What the page is about, without the rooms and the search around it."""
        return self.page.get_by_role("main")

    def follow(self, name: str, within: Locator | None = None) -> None:
        """Click a link."""
        (within or self.main).get_by_role("link", name=name).first.click()

    def press(self, name: str, within: Locator | None = None) -> None:
        """Click a button, and wait until what it sends is answered."""
        (within or self.main).get_by_role("button", name=name).first.click()
        expect(self.page.locator("form[aria-busy]")).to_have_count(0)

    def fill(self, label: str, value: str, within: Locator | None = None) -> None:
        """Type into a field."""
        (within or self.main).get_by_label(label).fill(value)

    def choose(self, label: str, value: str, within: Locator | None = None) -> None:
        """Choose from a list what begins with these words there."""
        choices = (within or self.main).get_by_label(label)
        expect(choices).to_be_visible()
        written = choices.locator("option").all_text_contents()
        meant = [each for each in written if each == value] or [
            each for each in written if each.startswith(value)
        ]
        assert meant, (label, value, written)
        choices.select_option(label=meant[0])

    def part(self, name: str) -> None:
        """Go to a part of the job that is open."""
        parts = self.page.get_by_role("navigation", name="Parts of the job")
        parts.get_by_role("link", name=name, exact=True).click()
        expect(parts.get_by_role("link", name=name, exact=True)).to_have_attribute("aria-current", "page")
        self.is_there()

    def is_there(self) -> None:
        """Wait until nothing of the page is still being worked out."""
        expect(self.page.locator(".working")).to_have_count(0)

    def section(self, heading: str) -> Locator:
        """The section of the page that stands under a heading."""
        return self.page.locator("section").filter(has=self.page.get_by_role("heading", name=heading))

    def sees(self, text: str) -> None:
        """What must stand on the page, or come to stand there."""
        expect(self.main).to_contain_text(text)

    def say_who(self, name: str) -> None:
        """Say who sits here."""
        self.go("shop")
        self.fill("Name, as it stands in the history", name)
        self.press("That is me")
        expect(self.page.get_by_role("contentinfo")).to_contain_text(name)

    def _said(self, message: ConsoleMessage) -> None:
        if message.type not in ("error", "warning"):
            return
        if self.refused and "Failed to load resource" in message.text:
            return  # a refusal that the test waits for is told to the console too
        self.complaints.append(f"console {message.type}: {message.text} at {self.page.url}")

    def _asked(self, request: Request) -> None:
        if not request.url.startswith((self.served.address, "data:")):
            self.complaints.append(f"asked another host: {request.url}")

    def _failed(self, request: Request) -> None:
        if request.failure != LEFT:
            self.complaints.append(f"failed: {request.method} {request.url}: {request.failure}")

    def _answered(self, response: Response) -> None:
        if response.status >= 400 and response.status != self.refused:
            self.complaints.append(f"{response.status}: {response.request.method} {response.url}")
