"""Finds an address for every page in the app's own table, by following links from a shop at work."""

from __future__ import annotations

import re
from urllib.parse import urljoin, urlsplit

import httpx
from fastapi.routing import APIRoute

from tappetry.web.pages.every import ALL
from tests.serving import Served


class Reader:
    """Reads pages without a browser, to find an address for every page that the app has."""

    def __init__(self, served: Served) -> None:
        self.client = httpx.Client(base_url=served.address, follow_redirects=True, timeout=120)

    def post(self, address: str, **fields: str) -> str:
        """Send a form as a page would."""
        found = re.search(r'name="token" value="(\w+)"', self.client.get("/jobs/new").text)
        assert found is not None
        answer = self.client.post(address, data={"token": found[1], **fields})
        assert answer.status_code == 200, answer.text
        return answer.text

    def pages(self, start: list[str]) -> dict[str, str]:
        """One address for each entry of the app's table that leads to a page, found by following links."""
        table = {
            route.path: route.path_regex
            for router in ALL
            for route in router.routes
            if isinstance(route, APIRoute) and "GET" in (route.methods or ())
        }
        waiting = [*start, *(path for path in table if "{" not in path)]
        found: dict[str, str] = {}
        while waiting:
            address = waiting.pop(0)
            path = urlsplit(address).path
            entry = next((entry for entry, fits in table.items() if fits.match(path)), None)
            if entry is None or entry in found:
                continue
            answer = self.client.get(address)
            if answer.status_code == 200 and answer.headers["content-type"].startswith("text/html"):
                found[entry] = address
                links = re.findall(r'(?:href|hx-get)="([^"#]+)"', answer.text)
                waiting += [urljoin(address, link) for link in links if "://" not in link]
        return found


def pages_of(served: Served) -> dict[str, str]:
    """The pages of a shop with a job that came far, and of one that just came: addresses by entry."""
    reader = Reader(served)
    for name in ("J1", "J3"):
        if reader.client.get(f"/jobs/{name}").status_code == 404:  # others may have opened it
            reader.post("/jobs/from-file", name=name)
    reader.post("/jobs/J1/quotes")
    told = reader.post("/jobs/J1/links", paper="yes", photos="the front cover", days="14")
    link = re.search(r'href="http://[^/"]+(/c/[\w-]+)"', told)
    assert link is not None
    return reader.pages(["/jobs/J1/facts", "/jobs/J1/accept/quote/1", "/jobs/J3/change", link[1]])
