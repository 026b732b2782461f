"""The tutorial, followed to the letter: its files are written, its commands run, its forms filled in.

What a reader would do is read out of the page: a file's name stands alone on a line before its block; lines
of a `sh` block are run; what a `text` block shows was said by the last command, or stands on the last page;
a table of fields belongs to the address in brackets and the button in bold before it.
"""

from __future__ import annotations

import html
import json
import re
import shlex
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from tappetry.presentation.kept import papers
from tappetry.services.ledger import Ledger
from tappetry.services.shop import Shop
from tappetry.store.database import Database
from tappetry.web.app import make_app
from tests.cli.calling import call

pytestmark = pytest.mark.slow

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "tutorial.md").read_text(encoding="utf-8")
BY_COMMANDS, IN_THE_APP = PAGE.split("## 10. The same in the app")
STEP = re.compile(
    r"^`(?P<file>[\w./-]+)`\n\n```(?:yaml|csv)\n(?P<content>.*?)^```$"
    r"|^```sh\n(?P<commands>.*?)^```$"
    r"|^```text\n(?P<shown>.*?)^```$"
    r"|\(`(?P<address>/[\w/.-]+)`\)"
    r"|\*\*(?P<button>[^*]+)\*\*"
    r"|^\| field \| say \|\n\| --- \| --- \|\n(?P<fields>(?:\|[^\n]*\|\n)+)",
    re.MULTILINE | re.DOTALL,
)


def steps(text: str) -> Iterator[tuple[str, str, str]]:
    """What a reader does, in order: the kind of step, its text, and for a file its name."""
    for found in STEP.finditer(text):
        kind = found.lastgroup or ""
        yield kind, found[kind], found["file"] or ""


# ---- forms as a person sees them --------------------------------------------------------------------------


@dataclass
class Form:
    """A form of a page: where it goes, its buttons, its hidden fields, and names and options by label."""

    action: str
    buttons: list[str] = field(default_factory=list)
    hidden: dict[str, str] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    options: dict[str, dict[str, str]] = field(default_factory=dict)


class Forms(HTMLParser):
    """Reads the forms of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self._text: list[str] = []
        self._label = ""
        self._value: str | None = None
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note where a form, a field or an option begins."""
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.forms.append(Form(said.get("action", "")))
        elif tag == "input" and said.get("type") == "hidden":
            self.forms[-1].hidden[said["name"]] = said.get("value", "")
        elif tag in ("input", "select") and "name" in said:
            self._label = "".join(self._text).strip()
            self.forms[-1].names[self._label] = said["name"]
            self.forms[-1].options[self._label] = {}
        if tag in ("label", "button", "option"):
            self._text = []
            self._value = said.get("value")

    def handle_data(self, data: str) -> None:
        """Gather the words of a label, a button or an option."""
        self._text.append(data)

    def handle_endtag(self, tag: str) -> None:
        """Keep what was gathered."""
        words = "".join(self._text).strip()
        if tag == "button":
            self.forms[-1].buttons.append(words)
        elif tag == "option":
            self.forms[-1].options[self._label][words] = words if self._value is None else self._value


class Reader:
    """A reader of the tutorial at a browser."""

    def __init__(self, ledger: Ledger) -> None:
        self.client = TestClient(make_app(ledger), base_url="http://127.0.0.1")
        self.page = ""
        self.address = ""
        self.button = ""

    def open(self, address: str) -> None:
        """Look at a page."""
        self.address = address
        answer = self.client.get(address)
        assert answer.status_code == 200, answer.text
        self.page = answer.text

    def press(self, fields: dict[str, str]) -> None:
        """Fill in the form of a button and press it."""
        forms = [form for form in Forms(self.page).forms if self.button in form.buttons]
        assert forms, f"{self.address} has no button {self.button}"
        form = forms[-1]
        data = dict(form.hidden)
        for label, value in fields.items():
            assert label in form.names, f"{self.address} has no field {label}: {sorted(form.names)}"
            options = form.options[label]
            matching = [each for each in options if each == value or each.startswith(f"{value} ")]
            assert matching or not options, f"{label} of {self.address} has no {value}: {sorted(options)}"
            data[form.names[label]] = options[matching[0]] if options else value
        answer = self.client.post(form.action, data=data)
        assert answer.status_code == 200, answer.text
        self.page = answer.text
        self.button = ""


# ---- the reading ------------------------------------------------------------------------------------------


def follow_commands(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Write the files and run the commands of the first part in an empty folder."""
    monkeypatch.chdir(folder)
    said = ""
    for kind, text, file in steps(BY_COMMANDS):
        if kind == "content":
            (folder / file).parent.mkdir(parents=True, exist_ok=True)
            (folder / file).write_text(text, encoding="utf-8")
        elif kind == "commands":
            for line in text.splitlines():
                first, *words = shlex.split(line)
                if first == "export":
                    name, _, value = words[0].partition("=")
                    monkeypatch.setenv(name, value)
                    continue
                assert first == "tappetry", line
                done = call(*words)
                assert done.code == 0, (line, done.words)
                said = done.words
        elif kind == "shown":
            for line in text.splitlines():
                assert line in said, line


@pytest.fixture(scope="module")
def followed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder after the first part of the tutorial."""
    folder = tmp_path_factory.mktemp("tutorial")
    with pytest.MonkeyPatch.context() as patch:
        follow_commands(folder, patch)
    return folder


def test_the_commands_lead_to_a_quote_with_what_the_page_says(followed: Path) -> None:
    kinds = [kind for kind, _, _ in steps(BY_COMMANDS)]
    assert kinds.count("commands") >= 8
    assert kinds.count("content") == 6
    assert kinds.count("shown") >= 4
    assert (followed / "out" / "T-1-quote.pdf").read_bytes().startswith(b"%PDF")
    assert (followed / "out" / "T-1-quote.json").is_file()
    assert {each.name for each in followed.iterdir()} == {"templates", "shop", "out"}


def test_the_number_of_templates_is_the_one_told(followed: Path) -> None:
    assert "Sixteen small text files" in BY_COMMANDS
    assert len(list((followed / "templates").iterdir())) == 16


def test_springs_without_a_camshaft_are_quoted_with_nothing_of_the_front(
    followed: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TAPPETRY_HOME", str(followed / "shop"))
    said = call("kit", followed / "shop" / "jobs" / "T-3.yaml", "--json")
    assert {line["part"] for line in said.data["lines"]} == {"B-121", "B-142"}
    assert call("quote", followed / "shop" / "jobs" / "T-3.yaml", "--out", followed / "out").code == 0
    quote = json.loads((followed / "out" / "T-3-quote.json").read_text(encoding="utf-8"))
    assert quote["plan"][:2] == [
        "New valve springs, which are proved on the camshaft that stays.",
        "The camshaft stays as it was found.",
    ]
    assert "repair" in quote["legal_note"]
    assert "modification" not in quote["legal_note"]


def test_the_quote_is_refused_for_want_of_the_fact_that_the_page_names(
    followed: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = next(
        text for kind, text, _ in steps(BY_COMMANDS) if kind == "content" and text.startswith("job:")
    )
    job = followed / "first.yaml"
    job.write_text(first, encoding="utf-8")
    monkeypatch.setenv("TAPPETRY_HOME", str(followed / "shop"))
    said = call("quote", job, "--out", followed / "none")
    job.unlink()
    assert said.code == 2
    assert "How far has it run?" in said.words


def test_the_pages_lead_to_the_same_kit_and_a_quote(followed: Path, database: Database) -> None:
    reader = Reader(Ledger(Shop(followed / "shop"), database, papers()))
    pressed: list[str] = []
    for kind, text, _ in steps(IN_THE_APP):
        if kind == "address":
            reader.open(text)
        elif kind == "button":
            reader.button = text
            if text.startswith("Send"):  # a button without fields
                pressed.append(reader.button)
                reader.press({})
        elif kind == "fields":
            rows = dict(re.findall(r"^\| (.+?) \| (.+?) \|$", text, re.MULTILINE))
            reader.button = reader.button or pressed[-1]
            pressed.append(reader.button)
            reader.press(rows)
        elif kind == "shown":
            for line in text.splitlines():
                assert line in html.unescape(reader.page), line
    assert pressed == ["Open the job", "State it", "State it", "State it", "Send this quote"]
    assert reader.client.get("/jobs/T-2/papers/quote-1.pdf").content.startswith(b"%PDF")
