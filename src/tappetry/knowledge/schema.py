"""The published JSON Schemas of the text files, and their check with the line of every complaint."""

from __future__ import annotations

import json
from functools import cache
from importlib import resources
from typing import Any

from tappetry.knowledge.text import Document
from tappetry.records.problems import BadInput, Complaints, Where

#: Checks whose own value says what was expected.
_SAID_BY_ITS_VALUE = frozenset(
    {"minimum", "maximum", "exclusiveMinimum", "pattern", "minLength", "const"}
    | {"minItems", "maxItems", "uniqueItems", "minProperties"}
)


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
def _validator(name: str) -> Any:
    from jsonschema import Draft202012Validator

    return Draft202012Validator(schema(name))


def check(document: Document, name: str) -> None:
    """Check a text file against its schema; complaints say file, line, field, value, what was expected."""
    complaints = Complaints()
    for error in sorted(
        _validator(name).iter_errors(document.data), key=lambda e: list(map(str, e.absolute_path))
    ):
        deepest = _deepest(error)
        path = tuple(deepest.absolute_path)
        complaints.add(
            document.where(path), _plain(deepest.message), _short(deepest.instance), _expected(deepest)
        )
    complaints.raise_if_any()


def _deepest(error: Any) -> Any:
    """Of several cases that all fail the complaint that lies deepest; where each lacks a key, the whole."""
    if not error.context or all(case.validator == "required" for case in error.context):
        return error
    return min(error.context, key=lambda case: -len(case.absolute_path))


def _plain(message: str) -> str:
    return message if len(message) <= 200 else message[:200] + " ..."


def _short(value: Any) -> str:
    text = json.dumps(value, default=str) if not isinstance(value, str) else value
    return text if len(text) <= 80 else text[:77] + "..."


def _expected(error: Any) -> str:
    if error.validator == "enum":
        return "one of " + ", ".join(map(str, error.validator_value))
    if error.validator == "additionalProperties":
        return "only " + ", ".join(sorted(error.schema.get("properties", {})))
    if error.validator == "required":
        return "all of " + ", ".join(error.validator_value)
    if error.validator == "type":
        wanted = error.validator_value
        return wanted if isinstance(wanted, str) else " or ".join(wanted)
    if error.validator == "dependentRequired":
        wanted = error.validator_value.items()
        return "; ".join(f"beside {key}: {', '.join(keys)}" for key, keys in wanted if key in error.instance)
    if error.validator in {"oneOf", "anyOf"}:
        keys = ", ".join(key for case in error.validator_value for key in case.get("required", ()))
        return f"{'only ' if error.validator == 'oneOf' else ''}one of {keys}"
    return f"{error.validator} {error.validator_value}" if error.validator in _SAID_BY_ITS_VALUE else ""
