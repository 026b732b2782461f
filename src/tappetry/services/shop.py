"""Opens a shop: its knowledge and its catalogue, from the folder that holds its data."""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from tappetry.knowledge.engines import Engines, load_engines
from tappetry.records.problems import BadInput, Where

if TYPE_CHECKING:  # An engine is simulated without parts, conditions and most of the text.
    from tappetry.assembly.memory import Memory
    from tappetry.catalogue.catalogue import Catalogue
    from tappetry.catalogue.words import WordIndex
    from tappetry.knowledge.model import Knowledge
    from tappetry.records.part import Part


@dataclass(frozen=True)
class Shop:
    """A shop's folder, read when it is first needed.

    ``kept`` holds the shop's text where another one is in effect than the files of the folder say.
    """

    folder: Path
    kept: Path | None = None

    @property
    def text(self) -> Path:
        """The folder with the text that is in effect."""
        return self.kept or self.folder

    @cached_property
    def knowledge(self) -> Knowledge:
        """Families, needs, rules, house book."""
        from tappetry.knowledge.loader import load

        return load(self.text)

    @cached_property
    def engines(self) -> Engines:
        """Families and tables, for whoever needs no more of the shop's text."""
        read: Knowledge | None = vars(self).get("knowledge")
        return load_engines(self.text) if read is None else Engines(read.families, read.tables)

    @cached_property
    def catalogue(self) -> Catalogue:
        """Parts and suppliers."""
        from tappetry.catalogue.reader import read_catalogue

        return read_catalogue(self.text, self.knowledge)

    @cached_property
    def plan_read(self) -> frozenset[str]:
        """The fields of a plan that this shop's text reads; of another one nothing can come."""
        from tappetry.knowledge.audit_subject import conditions_of

        said = (read for each in conditions_of(self.knowledge) for read in each.expression.reads)
        return frozenset(read.member for read in said if read.root == "plan")

    @cached_property
    def words(self) -> WordIndex:
        """Parts by what is said of them."""
        from tappetry.catalogue.words import WordIndex

        return WordIndex(self.catalogue.parts, self.knowledge.titles())

    @cached_property
    def memory(self) -> Memory:
        """What conditions came to in the requests so far."""
        from tappetry.assembly.memory import Memory

        return Memory()

    def with_parts(self, parts: Iterable[Part]) -> Shop:
        """The same shop as if its suppliers sold these parts; what it worked out so far is not remembered."""
        other = Shop(self.folder, self.kept)
        other.__dict__["knowledge"] = self.knowledge
        other.__dict__["catalogue"] = replace(self.catalogue, parts=tuple(parts))
        return other

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


#: The house book: a folder that holds it is a shop's.
BOOK = "shop.yaml"


def is_shop(folder: Path) -> bool:
    """Whether a folder is a shop's."""
    return (folder / BOOK).is_file()


def open_shop(folder: Path | None = None) -> Shop:
    """The shop of a folder.

    Raises
    ------
    BadInput
        The folder holds no shop.
    """
    place = folder or home()
    if not is_shop(place):
        raise BadInput.at(
            Where(str(place)),
            "the folder holds no shop",
            place.name,
            "a folder with shop.yaml; `tappetry begin` makes one, `tappetry demo` an invented one",
        )
    return Shop(place)


def demo_folder() -> Path:
    """The invented shop that ships with the program."""
    return Path(str(resources.files("tappetry.demo") / "shop"))


def first_shop_folder() -> Path:
    """The small shop with one family from which a new one begins."""
    return Path(str(resources.files("tappetry.demo") / "first-shop"))


#: Says from which state of the invented shop a copy was made, and in which state it was then.
MADE_FROM = ".made-from"

#: The folder of a copy with the program's schemas, for editors.
SCHEMAS = "schemas"

#: The end of the way from a text to its schema: of the invented shop in the program, and of a copy.
_IN_THE_PROGRAM, _IN_A_COPY = b"../../knowledge/schemas/", b"schemas/"


def make_demo_shop(place: Path) -> Shop:
    """Copy the invented shop into a folder, with the schemas that its texts name for editors.

    A copy that nobody has changed is brought up to date; one that a person has changed is left as it is.
    The schemas are the program's and are always brought up to date.
    """
    shipped = demo_folder()
    mark = place / MADE_FROM
    states = mark.read_text(encoding="utf-8").split() if mark.is_file() else []
    if states and states[-1] == content_mark(place) and states[0] != content_mark(shipped):
        shutil.rmtree(place)
    if not is_shop(place):
        place.parent.mkdir(parents=True, exist_ok=True)
        copy_texts(shipped, place)
        mark.write_text(f"{content_mark(shipped)}\n{content_mark(place)}\n", encoding="utf-8")
    copy_schemas(place)
    return Shop(place)


def copy_texts(shipped: Path, place: Path) -> None:
    """Copy the texts of a shop that ships with the program; they name the schemas beside them there."""
    shutil.copytree(shipped, place, dirs_exist_ok=True)
    for text in shipped.rglob("*.yaml"):
        copy = place / text.relative_to(shipped)
        copy.write_bytes(copied(text))


def copied(text: Path) -> bytes:
    """A text that ships with the program as it stands in a copy."""
    return text.read_bytes().replace(_IN_THE_PROGRAM, _IN_A_COPY, 1)


def copy_schemas(place: Path) -> None:
    """Copy the program's schemas into a shop's folder."""
    published = Path(str(resources.files("tappetry.knowledge") / "schemas"))
    shutil.copytree(published, place / SCHEMAS, dirs_exist_ok=True)


def content_mark(folder: Path) -> str:
    """A mark of all that stands in a folder, but for the schemas."""
    digest = hashlib.sha256()
    for file in sorted(folder.rglob("*")):
        own = file.relative_to(folder)
        if file.is_file() and file.name != MADE_FROM and not {"__pycache__", SCHEMAS} & {*own.parts}:
            digest.update(own.as_posix().encode() + b"\0" + file.read_bytes())
    return digest.hexdigest()
