"""Opens a shop: its knowledge and its catalogue, from the folder that holds its data."""

from __future__ import annotations

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


def make_demo_shop(place: Path) -> Shop:
    """Copy the invented shop into a folder; a folder that is there already is left as it is."""
    if not (place / "shop.yaml").is_file():
        place.parent.mkdir(parents=True, exist_ok=True)
        shutil.copytree(demo_folder(), place, dirs_exist_ok=True)
    return Shop(place)
