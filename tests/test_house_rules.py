"""The house rules that a reader could forget and a machine can see.

No id of a shop's data stands in the program, no file speaks of anything but the project, and modules stay
small and say what they are for.
"""

from __future__ import annotations

import ast
import csv
import re
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "src" / "tappetry"
DEMO = PACKAGE / "demo"
LONGEST_MODULE = 600

# --- ids of a shop's data ------------------------------------------------------------------------------

YAML = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
KINDS = {"families": "family", "needs": "need", "fills": "need", "parts": "part", "suppliers": "supplier"}
NAME_KEYS = ("id", "code", "number")
PART_COLUMNS = ("part", "part_no", "part_number", "number")
NOT_AN_ID = {"all", "any", "none"}
AN_ID = re.compile(r"(?=.*[A-Za-z]|\d{5})[A-Za-z0-9][A-Za-z0-9./+-]+")
HOLDS_A_KIT = re.compile(r"kit|needs|chosen")


def own_name(node: dict[str, Any]) -> str:
    """What a mapping calls itself; nothing if it does not."""
    return next((str(node[key]) for key in NAME_KEYS if key in node), "")


def words_of(node: Any) -> list[str]:
    """The words of `family: X`, `family: [X, Y]` or `family: {value: X}`."""
    if isinstance(node, dict):
        node = node.get("value")
    words = node if isinstance(node, list) else [node]
    return [word for word in words if isinstance(word, str)]


@dataclass
class Ids:
    """The ids found in a shop's data, each with its kind."""

    kind_of: dict[str, str] = field(default_factory=dict)

    def add(self, kind: str, name: object) -> None:
        """Take a name if it has the shape of an id."""
        if AN_ID.fullmatch(str(name)) and name not in NOT_AN_ID:
            self.kind_of.setdefault(str(name), kind)

    def add_tree(self, node: Any, kind: str | None) -> None:
        """Take the ids below a YAML node whose entries are of a kind, where the key above says so."""
        if isinstance(node, list):
            for item in node:
                if kind and not isinstance(item, list):
                    self.add(kind, own_name(item) if isinstance(item, dict) else item)
                self.add_tree(item, None)
        elif isinstance(node, dict):
            if kind and own_name(node):
                self.add(kind, own_name(node))
            elif kind:  # a table by id; a part may also say `needs: {ID: pieces}`
                for key, value in node.items():
                    if kind == "need" or isinstance(value, dict | list):
                        self.add(kind, key)
            if node.get("id") in KINDS.values():  # an attribute that lists the values it may have
                self.add_tree(node.get("values"), node["id"])
            for key, value in node.items():
                if key in KINDS.values():
                    for word in words_of(value):
                        self.add(key, word)
                self.add_tree(value, KINDS.get(key))

    def add_yaml(self, path: Path) -> None:
        """Take the ids of a YAML file; its name or its folder's may say what it holds."""
        for document in yaml.load_all(path.read_text(encoding="utf-8"), YAML):
            kind = KINDS.get(path.stem)
            if isinstance(document, dict) and not any(key in document for key in NAME_KEYS):
                kind = None if any(key in document for key in KINDS) else kind
            elif kind is None:
                kind = path.stem if path.stem in KINDS.values() else KINDS.get(path.parent.name)
            self.add_tree(document, kind)

    def add_csv(self, path: Path) -> None:
        """Take the ids in the columns of a CSV file that are named after a kind."""
        lines = [line for line in path.read_text(encoding="utf-8-sig").splitlines() if line[:1] != "#"]
        for row in csv.DictReader(lines):
            for column, cell in row.items():
                name = (column or "").strip().lower().replace(" ", "_")
                if not isinstance(cell, str):
                    continue
                if name in KINDS:
                    for word in re.split(r"[\s;|,]+", re.sub(r"\([^)]*\)", "", cell)):
                        self.add(KINDS[name], re.split(r"[:*=]", word)[0])
                elif name in PART_COLUMNS:
                    self.add("part", cell.strip())
                elif name in KINDS.values():
                    self.add(name, cell.strip())
                elif name in NAME_KEYS and path.stem in KINDS:
                    self.add(KINDS[path.stem], cell.strip())


def ids_of(folder: Path) -> dict[str, str]:
    """Every family, need, part and supplier id of the data below a folder, with its kind."""
    ids = Ids()
    for path in sorted(folder.rglob("*.y*ml")):
        ids.add_yaml(path)
    for path in sorted(folder.rglob("*.csv")):
        ids.add_csv(path)
    return ids.kind_of


def last_name(node: ast.expr) -> str:
    """What an expression's value is called where it stands: `kit` of `self.kit`, `job.kit()` or `kit[0]`."""
    match node:
        case ast.Name(id=name) | ast.Attribute(attr=name):
            return name
        case ast.Call(func=inner) | ast.Subscript(value=inner):
            return last_name(inner)
    return ""


def ids_in_python(tree: ast.AST, kind_of: dict[str, str]) -> Iterator[tuple[int, str]]:
    """Line and id of each string that is an id, and of each attribute of a kit that is a need.

    Conditions spell a need with underscores, so that spelling counts too.
    """
    spelt = {name.replace("-", "_"): name for name, kind in kind_of.items() if kind == "need" and "-" in name}
    for node in ast.walk(tree):
        match node:
            case ast.Constant(value=str(value)) if value in kind_of or value in spelt:
                yield node.lineno, spelt.get(value, value)
            case ast.Attribute(attr=attribute, value=holder) if attribute in spelt:
                if HOLDS_A_KIT.search(last_name(holder).lower()):
                    yield node.lineno, spelt[attribute]


def modules() -> list[Path]:
    """Every Python file of the program."""
    return sorted(PACKAGE.rglob("*.py"))


@cache
def parsed(path: Path) -> ast.Module:
    """The syntax of a Python file."""
    return ast.parse(path.read_text(encoding="utf-8"))


def test_no_id_of_a_shop_stands_in_the_program() -> None:
    if not DEMO.is_dir():
        pytest.skip("the demo shop is not built yet")
    kind_of = ids_of(DEMO)
    unread = sorted(set(KINDS.values()) - set(kind_of.values()))
    assert not unread, f"no {' and no '.join(unread)} id found in src/tappetry/demo; teach ids_of() its files"
    # A fact of the vehicle, such as its axle ratio, may be called like the need that changes it.
    attributes = yaml.load((DEMO / "shop" / "attributes.yaml").read_text(encoding="utf-8"), YAML)
    facts = {each["id"] for each in attributes if each["about"] == "vehicle"}
    kind_of = {name: kind for name, kind in kind_of.items() if name not in facts}
    offences = [
        f"{path.relative_to(ROOT)}:{line}: {name} is a {kind_of[name]} id of the demo shop"
        for path in modules()
        if DEMO not in path.parents
        for line, name in ids_in_python(parsed(path), kind_of)
    ]
    assert not offences, "\n".join(["what an id means belongs in the shop's own files:", *offences])


def test_ids_are_found_in_the_shapes_that_data_files_have(tmp_path: Path) -> None:
    (tmp_path / "needs.yaml").write_text("- {id: head-bolts, why: single use}\n- {id: coolant}\n")
    (tmp_path / "book.yaml").write_text(
        "needs: {oil-seal: {renew: 'true'}}\n"
        "suppliers: [{code: ZZT, name: Some house}]\n"
        "totals: {parts: 3.5}\n"
    )
    (tmp_path / "families" / "q").mkdir(parents=True)
    (tmp_path / "families" / "q" / "family.yaml").write_text("id: QX\nname: Quill\nlimits: {id: flat}\n")
    (tmp_path / "parts.csv").write_text("number,supplier,needs\nZZ-10.5,ZZT,dowel:1 key-plate:2\n")
    (tmp_path / "job.yaml").write_text(
        "pins: [{need: any, part: ZZ-77}]\n"
        "fits: {family: [RX, 'SX | TX']}\n"
        "facts: {family: {value: UX, grade: told}}\n"
    )
    (tmp_path / "attributes.yaml").write_text(
        "- {id: family, type: choice, values: [VX]}\n- {id: era, values: [old]}\n"
    )
    (tmp_path / "boxes.yaml").write_text("boxes: [{fills: [{need: spring-cup, pieces: 2}]}]\n")
    assert ids_of(tmp_path) == {
        "head-bolts": "need",
        "coolant": "need",
        "oil-seal": "need",
        "ZZT": "supplier",
        "QX": "family",
        "ZZ-10.5": "part",
        "dowel": "need",
        "key-plate": "need",
        "ZZ-77": "part",
        "RX": "family",
        "UX": "family",
        "VX": "family",
        "spring-cup": "need",
    }


def test_ids_are_seen_in_python() -> None:
    kind_of = {"head-bolts": "need", "coolant": "need", "ZZ-10.5": "part"}
    text = (
        "'the head-bolts are renewed'\n"
        "if line.need == 'head-bolts': pass\n"
        "price = prices['ZZ-10.5'] + self.kit.head_bolts.price\n"
        "torque = sheet.head_bolts\n"
        "fill(coolant='coolant')\n"
        "condition.names('head_bolts')\n"
    )
    assert sorted(ids_in_python(ast.parse(text), kind_of)) == [
        (2, "head-bolts"),
        (3, "ZZ-10.5"),
        (3, "head-bolts"),
        (5, "coolant"),
        (6, "head-bolts"),
    ]


# --- a project that speaks of itself alone -------------------------------------------------------------

# One letter of each word stands in brackets, so that this file does not trip over its own list.
FOREIGN = {
    "the address of a package registry": r"\b(?:py[p]i|pythonhoste[d]|npmj[s]|debia[n])\.(?:org|io)\b",
    "a path of one machine": r"(?<![\w.~$})\]/-])/(?:home|root|work|tmp|opt|srv|users)/\w|\bc:\\\w",
    "a ticket number": r"(?<![\w&#])#\d{1,2}(?![\w-])|\b(?:issu[e]|pull reques[t])s? (?:no\.? ?)?#?\d+",
    "how the project was made": (
        r"\bsee[d] (?:document|file|text)s?\b"
        r"|\b(?:this|that|my|our|earlier|previous|next|last|another|working) sessio[n]s?\b"
        r"|\b(?:system|user|this|that|given|original) promp[t]s?\b"
        r"|\blarge language mode[l]s?\b|\bLL[M]s?\b|\b[A]I (?:helper|assistant|agent|model)s?\b"
    ),
}


def foreign_words(name: str, text: str) -> Iterator[tuple[int, str, str]]:
    """Line (0 is the file's name), what it is, and the words, for all that is not the project's business."""
    whole = f"{name.replace('_', ' ')}\n{text}"
    for what, pattern in FOREIGN.items():
        for found in re.finditer(pattern, whole, re.IGNORECASE):
            yield whole.count("\n", 0, found.start()), what, found.group()


def files_of_the_project() -> list[Path]:
    """Every file that is under version control or about to be."""
    listing = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    )
    paths = [ROOT / name for name in listing.stdout.split("\0") if name]
    return [path for path in paths if path.is_file()]


def test_files_speak_of_the_project_alone() -> None:
    offences = []
    for path in files_of_the_project():
        name = str(path.relative_to(ROOT))
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            text = ""  # a picture or a font; its name is still read
        offences += [f"{name}:{line}: {words!r} is {what}" for line, what, words in foreign_words(name, text)]
    assert not offences, "\n".join(offences)


@pytest.mark.parametrize(
    ("line", "words", "what"),
    [
        ("index = https://py" + "pi.org/simple", "py" + "pi.org", "the address of a package registry"),
        ("open('/ho" + "me/me/cam.csv')", "/ho" + "me/m", "a path of one machine"),
        ("mended, see #" + "12.", "#" + "12", "a ticket number"),
        ("as issue" + " 12 asks", "issue" + " 12", "a ticket number"),
        ("the seed" + " document asks for it", "seed" + " document", "how the project was made"),
        ("left for the next" + " session", "next" + " session", "how the project was made"),
    ],
)
def test_foreign_words_are_seen(line: str, words: str, what: str) -> None:
    assert list(foreign_words("a.py", f"first\n{line}\n")) == [(2, what, words)]
    assert list(foreign_words(line, "")) == [(0, what, words)]


@pytest.mark.parametrize(
    "line",
    [
        "#!/usr/bin/env bash",
        "fill: #333333; stroke: #123",
        "a dyno session of two hours",
        "random_seed = 1",
        "a #10-24 screw, &#39;",
        "docs/work/tmp/x and src/home/root/page",
    ],
)
def test_plain_words_are_let_pass(line: str) -> None:
    assert list(foreign_words("src/tappetry/a.py", line)) == []


# --- small modules that say what they are for ----------------------------------------------------------


def test_modules_are_small() -> None:
    lengths = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in modules()}
    offences = [
        f"{path.relative_to(ROOT)} has {length} lines, more than {LONGEST_MODULE}: part it by what it is for"
        for path, length in lengths.items()
        if length > LONGEST_MODULE
    ]
    assert lengths, "src/tappetry holds no module"
    assert not offences, "\n".join(offences)


def test_modules_say_what_they_are_for() -> None:
    silent = [
        f"{path.relative_to(ROOT)} has no docstring: say in its first line what it is for"
        for path in modules()
        if not ast.get_docstring(parsed(path))
    ]
    assert not silent, "\n".join(silent)
