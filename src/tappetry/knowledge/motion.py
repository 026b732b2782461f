"""Reads what a shop assumes of valve trains at speed: how parts give, what damps them, how lifters leak."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

from tappetry.knowledge import schema
from tappetry.knowledge.text import Document, read_yaml
from tappetry.records.problems import BadInput, Where

FILE = "motion/motion.yaml"


def motion_version(folder: Path) -> str:
    """A short version of the text: the same text, the same version."""
    return sha256((folder / FILE).read_bytes()).hexdigest()[:12]


def read_motion(folder: Path) -> Document:
    """The file, checked against its schema.

    Raises
    ------
    BadInput
        There is none, or it is wrong: with every complaint.
    """
    if not (folder / FILE).is_file():
        raise BadInput.at(
            Where(FILE),
            "the shop does not say what it assumes of valve trains at speed",
            "",
            f"a file {FILE}",
        )
    document = read_yaml(folder / FILE, FILE)
    schema.check(document, "motion")
    return document
