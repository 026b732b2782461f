"""The published JSON Schemas of the text files, and their check with the line of every complaint."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import cache
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tappetry.knowledge.schema_words import LIMITS, PATTERNS, TYPES
from tappetry.knowledge.text import Document, read_yaml
from tappetry.records.problems import BadInput, Complaints, Where

if TYPE_CHECKING:
    from jsonschema_rs import Draft202012Validator, ValidationError, ValidationErrorKind


@cache
def names() -> tuple[str, ...]:
    """The kinds of text file that have a schema."""
    folder = resources.files("tappetry.knowledge") / "schemas"
    return tuple(
        sorted(f.name.removesuffix(".schema.json") for f in folder.iterdir() if f.name.endswith(".json"))
    )


@cache
def schema(name: str) -> dict[str, Any]:
    """One published schema."""
    if name not in names():
        raise BadInput.at(Where(), "there is no such schema", name, "one of " + ", ".join(names()))
    file = resources.files("tappetry.knowledge") / "schemas" / f"{name}.schema.json"
    loaded: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    return loaded


@cache
def _validator(name: str) -> Draft202012Validator:
    from jsonschema_rs import Draft202012Validator

    return Draft202012Validator(schema(name))


def read(folder: Path, name: str, schema_name: str) -> Document:
    """A text file of a folder by its name there, checked against a schema unless it has none.

    Raises
    ------
    BadInput
        With every complaint about it.
    """
    document = read_yaml(folder / name, name)
    if schema_name:
        check(document, schema_name)
    return document


def check(document: Document, name: str) -> None:
    """Check a text file against its schema; complaints say file, line, field, value, what was expected."""
    complaints = Complaints()
    for error in sorted(
        _validator(name).iter_errors(document.data), key=lambda e: list(map(str, e.instance_path))
    ):
        deepest = _deepest(error)
        path = tuple(deepest.instance_path)
        value = _inside(document.data, path)
        complaints.add(
            document.where(path),
            _plain(deepest, schema(name)),
            _short(_read(deepest, value)),
            _expected(deepest, value, schema(name)),
        )
    complaints.raise_if_any()


def _deepest(error: ValidationError) -> ValidationError:
    """Of several cases that all fail the complaint that lies deepest; where each lacks a key, the whole."""
    from jsonschema_rs import ValidationErrorKind as Kind

    if not isinstance(error.kind, Kind.AnyOf | Kind.OneOfNotValid):
        return error
    if _lack_keys(error.kind):
        return error
    cases = [complaint for case in error.kind.context for complaint in case]
    return min(cases, key=lambda complaint: -len(complaint.instance_path))


def _read(error: ValidationError, value: Any) -> Any:
    """What is wrong: the value at the place, or the key of a mapping that is not called as it should."""
    from jsonschema_rs import ValidationErrorKind as Kind

    return error.kind.error.instance if isinstance(error.kind, Kind.PropertyNames) else value


def _inside(data: Any, path: Iterable[str | int]) -> Any:
    """What stands at a path."""
    for step in path:
        data = data[step]
    return data


def _plain(error: ValidationError, whole: Mapping[str, Any]) -> str:
    from jsonschema_rs import ValidationErrorKind as Kind

    if isinstance(error.kind, Kind.OneOfMultipleValid):
        return f"more than one of {_keys(error, whole)} is stated"
    if isinstance(error.kind, Kind.OneOfNotValid | Kind.AnyOf) and _lack_keys(error.kind):
        return f"none of {_keys(error, whole)} is stated"
    inner = error.kind.error if isinstance(error.kind, Kind.PropertyNames) else error
    if isinstance(inner.kind, Kind.Pattern):
        return "it is not written as it should be"
    message = error.message
    return message if len(message) <= 200 else message[:200] + " ..."


def _keys(error: ValidationError, whole: Mapping[str, Any]) -> str:
    """The keys of which the cases of an error ask for some."""
    return ", ".join(key for case in _inside(whole, error.schema_path) for key in case.get("required", ()))


def _lack_keys(kind: ValidationErrorKind.OneOfNotValid | ValidationErrorKind.AnyOf) -> bool:
    """Whether all that is wrong in each case is a key that is not there."""
    from jsonschema_rs import ValidationErrorKind as Kind

    return all(isinstance(complaint.kind, Kind.Required) for case in kind.context for complaint in case)


def _short(value: Any) -> str:
    text = json.dumps(value, default=str) if not isinstance(value, str) else value
    return text if len(text) <= 80 else text[:77] + "..."


def _expected(error: ValidationError, value: Any, whole: Mapping[str, Any]) -> str:
    """What the schema asks for in place of a value."""
    *place, keyword = error.schema_path
    holder = _inside(whole, place)
    wanted = holder[keyword]
    if keyword == "enum":
        return "one of " + ", ".join(map(str, wanted))
    if keyword == "additionalProperties":
        return "only " + ", ".join(sorted(holder.get("properties", {})))
    if keyword == "required":
        return "all of " + ", ".join(wanted)
    if keyword == "type":
        return " or ".join(TYPES[each] for each in ([wanted] if isinstance(wanted, str) else wanted))
    if keyword == "dependentRequired":
        return "; ".join(f"beside {key}: {', '.join(keys)}" for key, keys in wanted.items() if key in value)
    if keyword in {"oneOf", "anyOf"}:
        keys = _keys(error, whole)
        said = f": {holder['$comment']}" if "$comment" in holder else ""
        return f"{'only ' if keyword == 'oneOf' else ''}one of {keys}{said}"
    if keyword == "pattern":
        return ", ".join([PATTERNS[wanted], *([holder["description"]] if "description" in holder else [])])
    return LIMITS[keyword].format(wanted) if keyword in LIMITS else ""
