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
    lines: dict[Path_, int] = {}
    data = _build(node, (), lines, name)
    return Document(name, data, lines)


def _build(node: yaml.Node, path: Path_, lines: dict[Path_, int], name: str) -> Any:
    line = node.start_mark.line + 1
    lines.setdefault(path, line)
    if len(path) > MAX_DEPTH:
        raise BadInput.at(Where(name, line), "the text is nested too deep", len(path), f"at most {MAX_DEPTH}")
    if isinstance(node, yaml.MappingNode):
        mapping: dict[str, Any] = {}
        for key_node, value_node in node.value:
            key = str(key_node.value)
            if key in mapping:
                raise BadInput.at(
                    Where(name, key_node.start_mark.line + 1, field_name((*path, key))),
                    "the key stands twice",
                    key,
                    "each key once",
                )
            lines[(*path, key)] = key_node.start_mark.line + 1
            mapping[key] = _build(value_node, (*path, key), lines, name)
        return mapping
    if isinstance(node, yaml.SequenceNode):
        return [_build(item, (*path, index), lines, name) for index, item in enumerate(node.value)]
    return _scalar(node, name, line, path)


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
