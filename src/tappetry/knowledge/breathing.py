"""Reads what a shop knows of how its engines breathe: air, fuels, fire, walls, heads, pipes and volumes."""

from __future__ import annotations

from hashlib import sha256
from itertools import pairwise
from pathlib import Path

from tappetry.knowledge import schema
from tappetry.knowledge.text import Document, read_yaml
from tappetry.records.problems import BadInput, Complaints, Where

FILE = "breathing/breathing.yaml"


def breathing_version(folder: Path) -> str:
    """A short version of the text: the same text, the same version."""
    return sha256((folder / FILE).read_bytes()).hexdigest()[:12]


def read_breathing(folder: Path) -> Document:
    """The file, checked against its schema and against itself.

    Raises
    ------
    BadInput
        There is none, or it is wrong: with every complaint.
    """
    if not (folder / FILE).is_file():
        raise BadInput.at(Where(FILE), "the shop does not say how its engines breathe", "", f"a file {FILE}")
    document = read_yaml(folder / FILE, FILE)
    schema.check(document, "breathing")
    complaints = Complaints()
    data = document.data
    for name, head in data["heads"].items():
        flow = head["flow"]
        lifts = flow["lift_in"]
        for key, values in flow.items():
            path = ("heads", name, "flow", key)
            if len(values) != len(lifts):
                complaints.add(document.where(path), "another number of values", len(values), f"{len(lifts)}")
            elif any(after < before for before, after in pairwise(values)) or (
                key == "lift_in" and len(set(values)) < len(values)
            ):
                complaints.add(
                    document.where(path), "values do not rise", values, "rising, or flow that stays"
                )
    for name, engine in data["engines"].items():
        for key, known in (("name", data["fuels"]), ("system", data["cooled_share"])):
            if engine["fuel"][key] not in known:
                where = document.where(("engines", name, "fuel", key))
                complaints.add(
                    where, "no such fuel or system", engine["fuel"][key], "one of " + ", ".join(known)
                )
    complaints.raise_if_any()
    return document
