"""The interface for programs: what it answers, whom it lets in, and that nothing sent is a fault of ours."""

from __future__ import annotations

import json
from typing import Any
from urllib.parse import quote

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx import Response
from hypothesis import HealthCheck, given, settings, strategies

from tappetry.services import sessions
from tappetry.services.ledger import Ledger
from tappetry.services.roles import GRANTS, Permission, Role
from tappetry.web import limits
from tappetry.web.access import ASKED
from tappetry.web.api.every import schema
from tappetry.web.limits import AT_ONCE, EACH_SECOND, Rate
from tappetry.web.security import LARGEST
from tests.web.conftest import Browser
from tests.web.entering import NAME, let_in, opened_to_others
from tests.web.test_access import address_of

pytestmark = pytest.mark.slow
PROGRAMS = (Role.COUNTER, Role.BENCH, Role.DESK)
#: Words that stand in the shop, and odd ones; how many requests are made up for each address.
KNOWN = ("J3", "use", "use=daily", "rpm=9e99", "cam", "vin", "mileage", "90000 km", "seen", "spring", "")
ODD = strategies.text(strategies.characters(codec="utf-8"), max_size=12)
EXAMPLES = 15
#: What nobody may see who may not see what the shop pays.
SECRET = ("landed", "unit_cost", "parts_cost", "margin_percent", "markup_percent")


@pytest.fixture
def ledger(browser: Browser) -> Ledger:
    """The shop with one job."""
    browser.open("J3")
    return browser.ledger


@pytest.fixture
def here(browser: Browser, ledger: Ledger) -> TestClient:
    """A program on this machine, which needs no token."""
    return browser.client


@pytest.fixture
def app(ledger: Ledger) -> FastAPI:
    """The app that asks for accounts."""
    return opened_to_others(ledger)


def program(app: FastAPI, token: str) -> TestClient:
    """A program with a token."""
    return TestClient(
        app,
        base_url=f"https://{NAME}",
        headers={"Authorization": f"Bearer {token}"},
        raise_server_exceptions=False,
    )


def is_problem(answer: Response, status: int) -> dict[str, Any]:
    """What a problem says."""
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    said: dict[str, Any] = answer.json()
    assert said["status"] == status
    assert {"type", "title", "detail", "instance"} <= set(said)
    return said


def test_a_job_goes_from_facts_to_a_quote(here: TestClient) -> None:
    assert here.get("/api/1/jobs?q=J3").json()["jobs"][0]["job"] == "J3"
    facts = here.get("/api/1/jobs/J3/facts")
    stated = {"attribute": "mileage", "value": "93000 km", "grade": "seen", "source": "odometer"}
    answer = here.post("/api/1/jobs/J3/facts", json=stated, headers={"If-Match": facts.headers["etag"]})
    assert (answer.status_code, answer.headers["etag"]) == (200, '"facts-2"')
    assert answer.json()["facts"]["mileage"][0]["value"] == "93000 km"
    tried = here.get("/api/1/jobs/J3/plan/try", params={"change": "use=daily"}).json()
    assert tried["difference"] is not None
    kit = here.get("/api/1/jobs/J3/kit").json()
    assert kit["lines"][0]["unit_cost"]
    assert len(here.get("/api/1/jobs/J3/proof").json()["proofs"]) == len(kit["proofs"])
    assert here.get("/api/1/jobs/J3/ask").json()["job"] == "J3"
    sent = here.post("/api/1/jobs/J3/quotes", json={"why": "asked for"})
    assert sent.status_code == 201
    (quote,) = here.get("/api/1/jobs/J3/quotes").json()["quotes"]
    assert quote["total"] == sent.json()["total"]
    assert here.get("/api/1/jobs/J3/history").json()["acts"][0]["what"] == "sent a quote"


def test_a_job_is_opened_from_the_content_of_its_file(here: TestClient, ledger: Ledger) -> None:
    document = {**ledger.job("J3").kept.document, "job": "A-17"}
    answer = here.post("/api/1/jobs", json=document)
    assert (answer.status_code, answer.headers["location"]) == (201, "/api/1/jobs/A-17")
    assert here.get("/api/1/jobs/A-17").json()["document"] == document
    is_problem(here.post("/api/1/jobs", json=document), 404)
    assert is_problem(here.post("/api/1/jobs", json={"job": "x"}), 400)["kind"] == "bad-input"


def test_a_change_names_the_version_that_it_was_made_on(here: TestClient, ledger: Ledger) -> None:
    change = {"changes": {"use": "daily"}, "why": "drives to work"}
    is_problem(here.patch("/api/1/jobs/J3/plan", json=change), 428)
    ledger.change_plan("J3", ["rpm=5200"], 1, "Wren")
    said = is_problem(here.patch("/api/1/jobs/J3/plan", json=change, headers={"If-Match": '"plan-1"'}), 412)
    assert "The plan changed meanwhile by Wren" in said["detail"]
    assert any("rpm" in fact for fact in said["facts"])
    answer = here.patch("/api/1/jobs/J3/plan", json=change, headers={"If-Match": '"plan-2"'})
    assert (answer.status_code, answer.headers["etag"]) == (200, '"plan-3"')
    assert (answer.json()["plan"]["use"], answer.json()["plan"]["rpm"]) == ("daily", 5200)


def test_rooms_are_read(here: TestClient) -> None:
    found = here.get("/api/1/parts?q=spring").json()
    assert found["count"] > 3
    first = found["parts"][0]
    part = here.get(f"/api/1/parts/{first['supplier']}/{first['number']}").json()
    assert part["price"] == first["price"]
    family = here.get("/api/1/families").json()["families"][0]["family"]
    assert here.get(f"/api/1/families/{family}").json()["attributes"]
    every = here.get("/api/1/calculators").json()["calculations"]
    assert len(every) > 300
    card = here.get(f"/api/1/calculators/{every[0]['name']}").json()
    assert [each["name"] for each in card["inputs"] if each["required"]]
    assert here.get("/api/1/search?q=J3").json()["jobs"][0]["job"] == "J3"
    is_problem(here.get("/api/1/families/none"), 404)
    is_problem(here.get("/api/1/nothing"), 404)


def test_a_page_elsewhere_cannot_ask_in_somebodys_name(here: TestClient) -> None:
    address = "/api/1/jobs/J3/kit"
    is_problem(here.post(address, content="{}", headers={"content-type": "text/plain"}), 415)
    is_problem(here.post(address, json={}, headers={"origin": "http://127.0.0.1"}), 403)
    is_problem(here.post(address, json={}, headers={"sec-fetch-site": "cross-site"}), 403)
    assert "access-control-allow-origin" not in here.options(address).headers


@pytest.mark.parametrize(
    "body",
    [
        '{"why": "\\u0000"}',
        '{"why": "\\ud800"}',
        '{"why": NaN}',
        "[" * 100_000,
        "9" * 5_000,
        "{",
    ],
    ids=range(6),
)
def test_what_no_database_keeps_is_refused(here: TestClient, body: str) -> None:
    headers = {"content-type": "application/json"}
    is_problem(here.post("/api/1/jobs/J3/kit", content=body, headers=headers), 400)
    assert here.get("/api/1/jobs/J3/history").json()["acts"][0]["what"] == "opened the job"


@pytest.mark.parametrize("role", PROGRAMS, ids=lambda role: role.value)
def test_a_token_has_the_rights_of_its_role_and_no_more(app: FastAPI, ledger: Ledger, role: Role) -> None:
    writes = program(app, sessions.add_token(ledger, "writes", role, True, 9, "test"))
    reads = program(app, sessions.add_token(ledger, "reads", role, False, 9, "test"))
    for named, asked in ASKED.items():
        method, path = named.split(" ")
        if not path.startswith("/api/"):
            continue
        may = asked in GRANTS[role]
        answer = writes.request(method, address_of(path))
        assert (answer.status_code == 403) is not may, named
        assert answer.status_code < 500, named
        if method != "GET":
            is_problem(reads.request(method, address_of(path)), 403)


def test_what_the_shop_pays_is_in_no_answer_of_whoever_may_not_see_it(app: FastAPI, ledger: Ledger) -> None:
    kit = ledger.kit(ledger.job("J3").job).kit
    part = kit.lines[0]
    in_cents = f"{kit.landed_cost * 100:.0f}"
    addresses = [
        *(f"/api/1/jobs/J3{each}" for each in ("", "/kit", "/proof", "/ask", "/plan", "/quotes", "/history")),
        "/api/1/jobs/J3/plan/try?change=use%3Ddaily",
        f"/api/1/parts/{part.supplier}/{part.part}",
    ]
    for role in PROGRAMS:
        asked = program(app, sessions.add_token(ledger, role.value, role, False, 9, "test"))
        told = "".join(asked.get(each).text for each in addresses)
        sees = Permission.PURCHASE in GRANTS[role]
        assert all((word in told) is sees for word in SECRET), role
        assert ('"cost"' in told) is sees
        assert (in_cents in told) is sees


def test_a_token_that_is_over_or_none_is_no_token(app: FastAPI, ledger: Ledger) -> None:
    token = sessions.add_token(ledger, "books", Role.DESK, False, 1, "test")
    assert program(app, token).get("/api/1/jobs").status_code == 200
    sessions.end_token(ledger, "books", "test")
    for wrong in (token, "", "x", "x" * 9_000):
        answer = program(app, wrong).get("/api/1/jobs")
        is_problem(answer, 401)
        assert answer.headers["www-authenticate"] == "Bearer"
    assert let_in(app, Role.OWNER).client.get("/api/1/jobs").status_code == 401
    assert program(app, token).get("/jobs", follow_redirects=False).headers["location"] == "/login"
    assert [act.what for act in ledger.trail()[:2]] == [
        "took the token books back",
        "made the token books: desk, reads, 1 days",
    ]


def test_who_asks_too_often_waits(here: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "AT_ONCE", 2)
    monkeypatch.setattr(limits, "EACH_SECOND", 0.01)
    answers = [here.get("/api/1/families") for _ in range(3)]
    assert [each.status_code for each in answers] == [200, 200, 429]
    is_problem(answers[-1], 429)
    assert int(answers[-1].headers["retry-after"]) > 1
    assert here.get("/families").status_code == 200


def test_what_takes_too_long_is_told(here: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "LONGEST", 0.0)
    answer = here.get("/api/1/jobs/J3/kit")
    is_problem(answer, 503)
    assert answer.headers["retry-after"] == "60"


def test_what_is_turned_away_before_any_page_is_a_problem_too(here: TestClient) -> None:
    large = here.post(
        "/api/1/jobs", content=b" " * (LARGEST + 1), headers={"content-type": "application/json"}
    )
    is_problem(large, 413)
    assert f"no more than {LARGEST} are read here. Nothing was kept." in large.json()["detail"]
    is_problem(here.get("/api/1/jobs", headers={"host": "elsewhere.test"}), 421)


def test_the_description_names_every_address(here: TestClient) -> None:
    described = here.get("/api/1/openapi.json").json()
    named = {f"{method.upper()} {path}" for path, each in described["paths"].items() for method in each}
    asked = {each.replace(":path}", "}") for each in ASKED if "/api/" in each}
    assert named == asked - {"GET /api/1/openapi.json"}
    assert json.loads(json.dumps(schema())) == described


def odd(described: dict[str, Any], known: tuple[str, ...]) -> strategies.SearchStrategy[Any]:
    """Values for a described input: such as it takes, such as it does not, and those that are there."""
    anything = strategies.recursive(
        strategies.none() | strategies.booleans() | strategies.integers() | strategies.floats() | ODD,
        lambda inner: strategies.lists(inner, max_size=3) | strategies.dictionaries(ODD, inner, max_size=3),
        max_leaves=6,
    )
    if "$ref" in described:
        described = schema()["components"]["schemas"][described["$ref"].rpartition("/")[2]]
    if "properties" in described:
        fields = {name: odd(each, known) for name, each in described["properties"].items()}
        needed = {name: fields.pop(name) for name in described.get("required", [])}
        return strategies.fixed_dictionaries(needed, optional=fields) | anything
    if described.get("type") == "object":
        return strategies.dictionaries(strategies.sampled_from(known) | ODD, ODD, max_size=3) | anything
    return strategies.sampled_from(known) | anything


def requests(found: dict[str, Any]) -> strategies.SearchStrategy[dict[str, Any]]:
    """Requests for an address, by its description."""
    inside = [each for each in found.get("parameters", []) if each["in"] == "path"]
    asked = [each for each in found.get("parameters", []) if each["in"] == "query"]
    word = strategies.sampled_from(KNOWN) | ODD
    body = found.get("requestBody", {}).get("content", {}).get("application/json", {}).get("schema", {})
    return strategies.fixed_dictionaries(
        {
            "path": strategies.fixed_dictionaries({each["name"]: word for each in inside}),
            "query": strategies.fixed_dictionaries(
                {}, optional={each["name"]: word | strategies.lists(word, max_size=3) for each in asked}
            ),
            "body": odd(body, KNOWN) if body else strategies.none(),
            "version": strategies.sampled_from(("", '"plan-1"', '"facts-1"', '"plan-9"', "*", '"plan-0"')),
        }
    )


def send(
    here: TestClient, method: str, path: str, made: strategies.SearchStrategy[dict[str, Any]], seen: set[int]
) -> None:
    """Send made up requests to an address, and note how they are answered."""

    @settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
    @given(made)
    def sent(said: dict[str, Any]) -> None:
        address = path
        for name, value in said["path"].items():
            address = address.replace(f"{{{name}}}", quote(value, safe=""))
        body = b"" if said["body"] is None or method == "get" else json.dumps(said["body"]).encode()
        headers = {"Content-Type": "application/json", "If-Match": said["version"]}
        answer = here.request(method.upper(), address, params=said["query"], content=body, headers=headers)
        assert answer.status_code < 500, (method, address, said, answer.text)
        seen.add(answer.status_code)

    sent()


def test_nothing_that_a_program_sends_is_a_fault_of_ours(
    here: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(limits, "AT_ONCE", 1_000_000)
    seen: set[int] = set()
    for path, each in schema()["paths"].items():
        for method, found in each.items():
            send(here, method, path, requests(found), seen)
    assert {200, 400, 404, 428} <= seen


def test_the_rate_fills_up_again() -> None:
    clock = [0.0]
    rate = Rate(lambda: clock[0])
    assert [rate.wait("one") for _ in range(AT_ONCE)] == [0.0] * AT_ONCE
    assert rate.wait("one") == pytest.approx(1 / EACH_SECOND)
    assert rate.wait("two") == 0.0
    clock[0] = 1 / EACH_SECOND
    assert rate.wait("one") == 0.0
    assert rate.wait("one") > 0
