"""Who is let in, and who may open what: every address with every role, on either database."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from argon2 import PasswordHasher
from fastapi import FastAPI
from fastapi.routing import APIRoute
from starlette.routing import Mount, Route

from tappetry.services import accounts
from tappetry.services.ledger import Ledger
from tappetry.services.passwords import Passwords
from tappetry.services.roles import GRANTS, Permission, Role
from tappetry.services.sessions import FOR_ONE_NAME, FROM_ONE_ADDRESS, IDLE, LONGEST_SESSION, WINDOW
from tappetry.web.access import ASKED, EVERYBODY, LET_IN
from tappetry.web.app import make_app
from tappetry.web.security import Entrance
from tests.web.conftest import NOON, Browser
from tests.web.entering import NAME, QUICK, WORDS, Visitor, let_in, name_of, opened_to_others

pytestmark = pytest.mark.slow


@pytest.fixture
def ledger(browser: Browser) -> Ledger:
    """The shop with one job."""
    browser.open("J3")
    return browser.ledger


@pytest.fixture
def app(ledger: Ledger) -> FastAPI:
    """The app that asks for accounts."""
    return opened_to_others(ledger)


def routes(found: object) -> list[str]:
    """Method and path of every address of an app, through all routers within."""
    named: list[str] = []
    for each in getattr(found, "routes", []):
        inner = getattr(each, "original_router", None)
        if inner is not None:
            prefix = getattr(each.include_context, "prefix", "")
            named += [
                f"{method} {prefix}{path}" for method, path in (one.split(" ", 1) for one in routes(inner))
            ]
        elif isinstance(each, Route | APIRoute):
            named += [f"{method} {each.path}" for method in (each.methods or ()) if method != "HEAD"]
        else:
            assert isinstance(each, Mount), each
            assert each.path == "/static"
    return named


def address_of(path: str) -> str:
    """An address of a path: that of the one job, and odd words elsewhere."""
    filled = path.replace("{number}", "J3").replace("{number:path}", "none").replace("{kind}", "quote")
    filled = re.sub(
        r"\{(paper|quote|change|order|link|answer|customer|vehicle|payment|refund)\}", "77", filled
    )
    return re.sub(r"\{[\w:]+\}", "none", filled)


def test_every_address_has_a_permission_and_every_permission_an_address(app: FastAPI) -> None:
    assert sorted(routes(app)) == sorted(ASKED)
    assert {asked for asked in ASKED.values() if isinstance(asked, Permission)} <= set(Permission)


@pytest.mark.parametrize("permission", [Permission.DELETE, Permission.TEXT, Permission.ACCOUNTS])
def test_what_is_an_owners_is_no_other_roles(permission: Permission) -> None:
    assert [role for role in Role if permission in GRANTS[role]] == [Role.OWNER]


@pytest.mark.parametrize("role", Role, ids=lambda role: role.value)
def test_every_address_opens_to_the_roles_that_may_and_to_no_other(app: FastAPI, role: Role) -> None:
    visitor = let_in(app, role)
    for named, asked in ASKED.items():
        method, path = named.split(" ")
        if path in ("/logout", "/login", "/account/password"):
            continue
        may = asked in (EVERYBODY, LET_IN) or asked in GRANTS[role]
        answer = visitor.client.request(method, address_of(path))
        if path.startswith("/api/"):  # for programs: a session opens nothing there
            assert answer.status_code == 401, named
        elif not may:
            assert answer.status_code == 403, named
            assert f"The role {role.value} may not" in answer.text, named
        elif method == "POST":  # it may, but the form did not come from our pages
            assert answer.status_code == 403, named
            assert "This form is too old or came from elsewhere" in answer.text, named
        else:
            assert answer.status_code not in (401, 403), named
            assert answer.headers.get("location") != "/login", named
            assert answer.status_code < 500, (named, answer.text)


def test_nobody_opens_anything_without_an_account(app: FastAPI) -> None:
    visitor = Visitor(app)
    for named, asked in ASKED.items():
        method, path = named.split(" ")
        answer = visitor.client.request(method, address_of(path))
        if asked == EVERYBODY:
            assert answer.headers.get("location") != "/login", named
        elif path.startswith("/api/"):
            assert answer.status_code == 401, named
        else:
            assert (answer.status_code, answer.headers["location"]) == (303, "/login"), named
    assert visitor.client.get("/jobs", headers={"hx-request": "true"}).headers["hx-redirect"] == "/login"
    assert "J3" not in visitor.client.get("/osprey").text


def test_a_form_needs_the_permission_even_with_its_token(app: FastAPI, ledger: Ledger) -> None:
    bench = let_in(app, Role.BENCH)
    answer = bench.post("/jobs/J3/plan", version="1", use="daily")
    assert answer.status_code == 403
    assert "The role bench may not open jobs, change plans" in answer.text
    assert ledger.job("J3").kept.versions["plan"] == 1
    stated = {"attribute": "mileage", "value": "93000 km", "grade": "seen", "source": "odometer"}
    assert bench.post("/jobs/J3/facts", version="1", **stated).status_code == 303
    assert ledger.history("J3")[0].who == "Any bench"


def test_the_counter_takes_payments_and_writes_no_invoice(app: FastAPI) -> None:
    counter = let_in(app, Role.COUNTER)
    assert counter.client.get("/jobs/J3/bill").status_code == 200
    for act in ("invoices", "refunds", "credits"):
        answer = counter.post(f"/jobs/J3/bill/{act}", amount="1", means="cash")
        assert (answer.status_code, "may not write invoices" in answer.text) == (403, True)
    answer = counter.post("/jobs/J3/bill/payments", kind="deposit", amount="1", means="cash")
    assert (answer.status_code, "No quote of job J3 is accepted yet" in answer.text) == (404, True)
    answer = counter.post("/jobs/J3/bill/payments/77/back", why="typed twice")
    assert (answer.status_code, "Job J3 has no payment 77" in answer.text) == (404, True)
    answer = counter.post("/jobs/J3/bill/refunds/77/back", why="typed twice")
    assert (answer.status_code, "may not write invoices" in answer.text) == (403, True)
    desk = let_in(app, Role.DESK).post("/jobs/J3/bill/refunds/77/back", why="typed twice")
    assert (desk.status_code, "Job J3 has no refund 77" in desk.text) == (404, True)
    answer = counter.post("/jobs/J3/money/77/back", why="typed twice")
    assert (answer.status_code, "may not write invoices" in answer.text) == (403, True)
    desk = let_in(app, Role.DESK).post("/jobs/J3/money/77/back", why="typed twice")
    assert (desk.status_code, "Job J3 has no supplier" in desk.text) == (404, True)
    bench = let_in(app, Role.BENCH).post("/jobs/J3/bill/payments/77/back", why="typed twice")
    assert (bench.status_code, "may not take payments, take back" in bench.text) == (403, True)


def test_somebody_comes_in_sees_today_and_goes(app: FastAPI) -> None:
    visitor = let_in(app, Role.COUNTER)
    assert "J3" in visitor.client.get("/").text
    page = visitor.client.get("/account").text
    assert "Any counter" in page
    gone = visitor.post("/logout")
    assert (gone.headers["location"], gone.headers["clear-site-data"]) == ("/login", '"cache", "storage"')
    assert visitor.client.get("/").headers["location"] == "/login"


def test_the_session_is_ended_on_the_server_not_in_the_browser_alone(app: FastAPI) -> None:
    visitor = let_in(app, Role.DESK)
    held = dict(visitor.client.cookies)
    visitor.post("/logout")
    visitor.client.cookies.update(held)
    assert visitor.client.get("/").headers["location"] == "/login"


def test_the_cookie_is_for_this_host_by_encrypted_ways_alone(app: FastAPI) -> None:
    said = Visitor(app).log_in("Any owner").headers["set-cookie"]
    assert said.startswith("__Host-tappetry=")
    for word in ("HttpOnly", "SameSite=strict", "Secure", "Path=/"):
        assert word in said
    assert "Domain" not in said
    assert "Max-Age" not in said


def test_by_an_open_connection_or_another_name_nobody_is_answered(app: FastAPI) -> None:
    client = let_in(app, Role.OWNER).client
    plain = client.get(f"http://{NAME}/")
    assert (plain.status_code, plain.text) == (421, "This server answers by https alone.")
    assert client.get("/", headers={"host": "other.test"}).status_code == 421
    assert client.get("/").headers["strict-transport-security"] == "max-age=31536000"


@pytest.mark.parametrize(
    "wrong", [("Any owner", "wrong"), ("Nobody", WORDS), ("", ""), ("x" * 400, "y" * 400)]
)
def test_a_wrong_login_does_not_tell_what_was_wrong(app: FastAPI, wrong: tuple[str, str]) -> None:
    answer = Visitor(app).log_in(*wrong)
    assert answer.status_code == 403
    assert "Name and password do not belong together, or the account is closed." in answer.text


def test_after_some_failures_a_name_has_to_wait_and_then_comes_in(
    app: FastAPI, ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    visitor = Visitor(app)
    for _ in range(FOR_ONE_NAME):
        assert "do not belong together" in visitor.log_in("Any desk", "wrong").text
    said = visitor.log_in("Any desk").text
    assert "Too many logins have failed for this name." in said
    assert "Try again in 15 minutes, or let an owner set a new password." in said
    assert visitor.log_in("Any counter").status_code == 303
    monkeypatch.setattr(ledger, "now", lambda: NOON + WINDOW + timedelta(seconds=1))
    assert visitor.log_in("Any desk").status_code == 303


def test_logins_are_logged_without_passwords(app: FastAPI, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level("INFO", "tappetry.access")
    visitor = Visitor(app)
    visitor.log_in("Any desk\nforged line", "a wrong password")
    visitor.log_in("Any desk")
    told = [record.getMessage() for record in caplog.records if record.name == "tappetry.access"]
    assert told == [
        "a login failed: 'Any desk forged line' from 'testclient'",
        "'Any desk' came in from 'testclient'",
    ]


def test_after_many_failures_an_address_has_to_wait(app: FastAPI) -> None:
    visitor = Visitor(app)
    for number in range(FROM_ONE_ADDRESS):
        visitor.log_in(f"name {number}", "wrong")
    said = visitor.log_in("Any owner").text
    assert "Too many logins have failed from this address." in said
    assert "Try again in 15 minutes, or log in at another machine." in said


def test_a_session_ends_by_rest_and_by_age(
    app: FastAPI, ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    visitor = let_in(app, Role.OWNER)
    seen, step = NOON, IDLE - timedelta(minutes=1)
    while seen + step < NOON + LONGEST_SESSION:
        seen += step
        monkeypatch.setattr(ledger, "now", lambda seen=seen: seen)
        assert visitor.client.get("/").status_code == 200
    monkeypatch.setattr(ledger, "now", lambda: NOON + LONGEST_SESSION)
    assert visitor.client.get("/").headers["location"] == "/login"
    monkeypatch.setattr(ledger, "now", lambda: NOON)
    rested = let_in(app, Role.OWNER)
    monkeypatch.setattr(ledger, "now", lambda: NOON + IDLE)
    assert rested.client.get("/").headers["location"] == "/login"


def test_a_page_that_waits_for_its_form_is_told_that_nobody_is_logged_in(app: FastAPI) -> None:
    visitor = let_in(app, Role.OWNER)
    visitor.post("/logout")
    answer = visitor.client.post("/jobs", data={"number": "S-9"}, headers={"X-In-Place": "yes"})
    assert answer.status_code == 401
    assert "data-problem" in answer.text
    assert "Nobody is logged in here any more." in answer.text


def test_a_form_of_one_session_is_no_form_of_the_next(app: FastAPI) -> None:
    visitor = let_in(app, Role.COUNTER)
    old = visitor.token("/account")
    visitor.post("/logout")
    visitor.log_in("Any counter")
    answer = visitor.client.post("/person", data={"token": old})
    assert answer.status_code == 403


def test_an_owner_makes_and_ends_accounts_and_the_trail_tells(app: FastAPI, ledger: Ledger) -> None:
    owner = let_in(app, Role.OWNER)
    made = owner.post("/accounts", name="Sam", role="bench", password="nine bright kettles sing")
    assert made.headers["location"] == "/accounts"
    sam = Visitor(app)
    assert sam.log_in("Sam", "nine bright kettles sing").headers["location"] == "/account"
    assert "Choose a password of your own; nothing else is open before." in sam.client.get("/account").text
    assert "Choose a password of your own first" in sam.client.get("/jobs").text
    changed = sam.post("/account/password", old="nine bright kettles sing", new="ten dull kettles hum")
    assert changed.headers["location"] == "/login"
    assert sam.client.get("/jobs").headers["location"] == "/login"
    assert sam.log_in("Sam", "ten dull kettles hum").headers["location"] == "/"
    assert sam.client.get("/jobs").status_code == 200
    owner.post("/accounts/Sam/role", role="counter")
    assert sam.client.get("/jobs").headers["location"] == "/login"
    sam.log_in("Sam", "ten dull kettles hum")
    owner.post("/accounts/Sam/closed", closed="yes")
    assert sam.client.get("/jobs").headers["location"] == "/login"
    assert sam.log_in("Sam", "ten dull kettles hum").status_code == 403
    said = [(act.who, act.what) for act in ledger.trail()[:4]]
    assert said == [
        ("Any owner", "closed the account Sam"),
        ("Any owner", "changed the account Sam: bench became counter"),
        ("Sam", "set a new password for the account Sam"),
        ("Any owner", "made the account Sam: bench"),
    ]
    assert not any("kettles" in act.what + act.why for act in ledger.trail())


def test_the_last_owner_stays(app: FastAPI) -> None:
    owner = let_in(app, Role.OWNER)
    for address, fields in (("closed", {"closed": "yes"}), ("role", {"role": "desk"})):
        answer = owner.post(f"/accounts/Any%20owner/{address}", **fields)
        assert answer.status_code == 422
        assert "Any owner is the last owner who may enter." in answer.text


@pytest.mark.parametrize(
    ("password", "said"),
    [
        ("short", "it has 5 signs"),
        ("ababababababab", "it is written in 2 different signs"),
        ("my password is good", "it holds a word that is tried first"),
        ("sam likes any bench", "it holds the name of the account or of the shop"),
    ],
)
def test_an_easy_password_is_not_taken(app: FastAPI, password: str, said: str) -> None:
    visitor = let_in(app, Role.BENCH)
    answer = visitor.post("/account/password", old=WORDS, new=password)
    assert answer.status_code == 400
    assert f"the password is not taken: {said}" in answer.text
    assert visitor.client.get("/jobs").status_code == 200


def test_what_the_shop_pays_and_earns_is_for_owner_and_desk(app: FastAPI, ledger: Ledger) -> None:
    pages = ("/jobs/J3/kit", "/jobs/J3/papers", "/jobs/J3/plan", "/jobs/J3/proof", "/shop", "/parts?q=cam")
    job = ledger.job("J3").job
    needs = [filled.need for line in ledger.kit(job).kit.lines for filled in line.needs]
    compared = next(
        need
        for need in needs
        if any(
            each.cost and each.cost.landed for place in ledger.why_not(job, need) for each in place.runners_up
        )
    )
    why = f"/jobs/J3/kit/why/{compared}"
    for role in Role:
        visitor = let_in(app, role)
        told = {page: visitor.client.get(page).text for page in (*pages, why)}
        sees = Permission.PURCHASE in GRANTS[role]
        assert ("landed" in told[why]) is sees
        assert ("/papers/order-" in told["/jobs/J3/papers"]) is sees
        for page in pages:
            assert "landed" not in told[page], page
            assert "margin on parts" not in told[page], page


def test_a_mark_of_other_settings_is_made_anew_at_login(app: FastAPI, ledger: Ledger) -> None:
    slower = Passwords(PasswordHasher(time_cost=2, memory_cost=16, parallelism=1))
    others = make_app(ledger, Entrance((NAME,), accounts=True), slower)
    before = {account.name: account.password for account in accounts.every(ledger)}
    Visitor(others).log_in("Any desk", "wrong")
    assert {account.name: account.password for account in accounts.every(ledger)} == before
    assert Visitor(others).log_in("Any desk").status_code == 303
    after = {account.name: account.password for account in accounts.every(ledger)}
    assert {name for name in after if after[name] != before[name]} == {"Any desk"}
    assert ",t=2," in after["Any desk"]
    assert slower.fits(after["Any desk"], WORDS)
    assert Visitor(others).log_in("Any desk").status_code == 303
    assert {account.name: account.password for account in accounts.every(ledger)} == after


def test_no_password_can_be_read_out_of_the_store(app: FastAPI, ledger: Ledger) -> None:
    marks = {account.password for account in accounts.every(ledger)}
    assert len(marks) == len(Role)
    assert all(mark.startswith("$argon2id$") for mark in marks)
    assert QUICK.fits(next(iter(marks)), WORDS)
    assert name_of(Role.OWNER) in [account.name for account in accounts.every(ledger)]
