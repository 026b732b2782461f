"""Opens a shop: its knowledge and its catalogue, from the folder that holds its data."""

from __future__ import annotations

import hashlib
import os
import shutil
from dataclasses import dataclass
from functools import cached_property
from importlib import resources
from pathlib import Path

from tappetry.catalogue.catalogue import Catalogue
from tappetry.catalogue.reader import read_catalogue
from tappetry.knowledge.loader import load
from tappetry.knowledge.model import Knowledge
from tappetry.records.problems import BadInput, Where


@dataclass(frozen=True)
class Shop:
    """A shop's folder, read when it is first needed."""

    folder: Path

    @cached_property
    def knowledge(self) -> Knowledge:
        """Families, needs, rules, house book."""
        return load(self.folder)

    @cached_property
    def catalogue(self) -> Catalogue:
        """Parts and suppliers."""
        return read_catalogue(self.folder, self.knowledge)

    @property
    def jobs(self) -> Path:
        """The folder of the jobs' files."""
        return self.folder / "jobs"


def home() -> Path:
    """The folder that holds a shop's data: ``TAPPETRY_HOME``, else the platform's user data folder."""
    stated = os.environ.get("TAPPETRY_HOME")
    if stated:
        return Path(stated)
    from platformdirs import user_data_path

    return user_data_path("tappetry")


def open_shop(folder: Path | None = None) -> Shop:
    """The shop of a folder.

    Raises
    ------
    BadInput
        The folder holds no shop.
    """
    place = folder or home()
    if not (place / "shop.yaml").is_file():
        raise BadInput.at(
            Where(str(place)),
            "the folder holds no shop",
            place.name,
            "a folder with shop.yaml; `tappetry demo` makes one",
        )
    return Shop(place)


def demo_folder() -> Path:
    """The invented shop that ships with the program."""
    return Path(str(resources.files("tappetry.demo") / "shop"))


#: Says from which state of the invented shop a copy was made.
MADE_FROM = ".made-from"


def make_demo_shop(place: Path) -> Shop:
    """Copy the invented shop into a folder.

    A copy that nobody has changed is brought up to date; one that a person has changed is left as it is.
    """
    shipped = demo_folder()
    mark = place / MADE_FROM
    untouched = mark.is_file() and mark.read_text(encoding="utf-8") == content_mark(place)
    if untouched and mark.read_text(encoding="utf-8") != content_mark(shipped):
        shutil.rmtree(place)
    if not (place / "shop.yaml").is_file():
        place.parent.mkdir(parents=True, exist_ok=True)
        shutil.copytree(shipped, place, dirs_exist_ok=True)
        mark.write_text(content_mark(place), encoding="utf-8")
    return Shop(place)


def content_mark(folder: Path) -> str:
    """A mark of all that stands in a folder."""
    digest = hashlib.sha256()
    for file in sorted(folder.rglob("*")):
        if file.is_file() and file.name != MADE_FROM and "__pycache__" not in file.parts:
            digest.update(file.relative_to(folder).as_posix().encode() + b"\0" + file.read_bytes())
    return digest.hexdigest()
