"""YAML with the line of every value, so that an error can point at it; duplicate keys are errors."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from tappetry.records.problems import BadInput, Where

Path_ = tuple[str | int, ...]

try:
    _Loader: Any = yaml.CSafeLoader
except AttributeError:  # the C reader is an optional part of the library
    _Loader = yaml.SafeLoader

#: A file nested deeper than this is refused: no person wrote it.
MAX_DEPTH = 20


@dataclass(frozen=True, slots=True)
class Document:
    """The content of one text file and the line on which each value stands."""

    file: str
    data: Any
    lines: Mapping[Path_, int]

    def where(self, path: Path_) -> Where:
        """The place of a value, or of the nearest value that contains it."""
        line = 0
        for length in range(len(path), -1, -1):
            line = self.lines.get(path[:length], 0)
            if line:
                break
        return Where(self.file, line, field_name(path))


def field_name(path: Path_) -> str:
    """A path as a person writes it: ``applications[2].vin``."""
    text = ""
    for step in path:
        text += f"[{step}]" if isinstance(step, int) else (f".{step}" if text else step)
    return text


def read_yaml(path: Path, name: str | None = None) -> Document:
    """Read one YAML file.

    Raises
    ------
    BadInput
        The file is missing, not UTF-8, not YAML, nested too deep, or names a key twice.
    """
    shown = name or path.name
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise BadInput.at(Where(shown), "the file does not exist", path.name) from None
    except IsADirectoryError:
        raise BadInput.at(Where(shown), "this is a folder, a file is wanted", path.name) from None
    except UnicodeDecodeError as error:
        raise BadInput.at(
            Where(shown), "the file is not UTF-8 text", f"byte {error.start}", "a text saved as UTF-8"
        ) from None
    return parse_yaml(text, shown)


def parse_yaml(text: str, name: str) -> Document:
    """Parse YAML text; ``name`` is the file name that errors show."""
    try:
        node = yaml.compose(text, Loader=_Loader)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        line = mark.line + 1 if mark else 0
        reason = getattr(error, "problem", None) or str(error).splitlines()[0]
        raise BadInput.at(Where(name, line), f"the text is not YAML: {reason}") from None
    if node is None:
        raise BadInput.at(Where(name, 1), "the file is empty")
    return _Builder(name).document(node)


class _Builder:
    """Turns the nodes of one file into plain data and keeps the line of each."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.lines: dict[Path_, int] = {}
        self.seen: set[int] = set()

    def document(self, root: yaml.Node) -> Document:
        """The whole file."""
        return Document(self.name, self.build(root, ()), self.lines)

    def build(self, node: yaml.Node, path: Path_) -> Any:
        """One value with all that it holds."""
        line = node.start_mark.line + 1
        self.lines.setdefault(path, line)
        if len(path) > MAX_DEPTH:
            raise BadInput.at(
                Where(self.name, line), "the text is nested too deep", len(path), f"at most {MAX_DEPTH}"
            )
        if id(node) in self.seen:
            raise BadInput.at(
                Where(self.name, line, field_name(path)),
                "a value stands for another one (& and *)",
                "",
                "each value written out where it belongs",
            )
        self.seen.add(id(node))
        if isinstance(node, yaml.MappingNode):
            return self.mapping(node, path)
        if isinstance(node, yaml.SequenceNode):
            return [self.build(item, (*path, index)) for index, item in enumerate(node.value)]
        return _scalar(node, self.name, line, path)

    def mapping(self, node: yaml.MappingNode, path: Path_) -> dict[str, Any]:
        """A mapping; each key is one plain word and stands once."""
        mapping: dict[str, Any] = {}
        for key_node, value_node in node.value:
            line = key_node.start_mark.line + 1
            if not isinstance(key_node, yaml.ScalarNode):
                raise BadInput.at(
                    Where(self.name, line, field_name(path)), "a key is a list or mapping", "", "a plain word"
                )
            key = str(key_node.value)
            if key in mapping:
                where = Where(self.name, line, field_name((*path, key)))
                raise BadInput.at(where, "the key stands twice", key, "each key once")
            self.lines[(*path, key)] = line
            mapping[key] = self.build(value_node, (*path, key))
        return mapping


def _scalar(node: yaml.Node, name: str, line: int, path: Path_) -> Any:
    """A scalar by its tag; dates stay text, whole numbers stay whole."""
    tag, value = node.tag.rsplit(":", 1)[-1], node.value
    if tag == "bool":
        return value.lower() in {"true", "yes", "on"}
    if tag == "null":
        return None
    if tag == "int":
        try:
            return int(value.replace("_", ""), 0)
        except ValueError:
            return value
    if tag == "float":
        try:
            return float(value.replace("_", ""))
        except ValueError:
            raise BadInput.at(
                Where(name, line, field_name(path)), "the number cannot be read", value
            ) from None
    return value
