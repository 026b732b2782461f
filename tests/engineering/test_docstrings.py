"""The docstrings as data: every example runs, every parameter stands in the glossary with its unit."""

from __future__ import annotations

import dataclasses
import doctest
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable
from types import ModuleType
from typing import Any, get_args, get_type_hints

import pytest

import tappetry.engineering
from tappetry.engineering.glossary import QUANTITIES

MODULES = [
    importlib.import_module(f"tappetry.engineering.{found.name}")
    for found in pkgutil.iter_modules(tappetry.engineering.__path__)
]
TOOLS = {
    "angles",
    "charge",
    "curvature",
    "dissociation",
    "gas_mixtures",
    "gas_tables",
    "glossary",
    "lists",
    "materials",
    "ranges",
    "sections",
}
TOGETHER = {"lobe_motion", "spring_fit"}  # only call others, and point to them
TEXTS = {
    "property_class",
    "wheel_side",
    "rise_law",
    "viscosity_grade",
    "winter_grade",
    "tyre_size",
    "distribution",
    "fuel_formula",
    "gas",
    "fuel",
    "pipe_end",
    "end_shape",
    "spring_ends",
    "spring_wire",
    "thread_series",
    "inch_grade",
    "joint_material",
}


def public(module: ModuleType, kind: Callable[[Any], bool]) -> list[Any]:
    return [
        value
        for name, value in vars(module).items()
        if kind(value) and value.__module__ == module.__name__ and not name.startswith("_")
    ]


CHAPTERS = [module for module in MODULES if module.__name__.rpartition(".")[2] not in TOOLS]
FUNCTIONS = [function for module in CHAPTERS for function in public(module, inspect.isfunction)]
RESULTS = [result for module in CHAPTERS for result in public(module, dataclasses.is_dataclass)]


def unit_of(annotation: Any) -> str:
    """The unit behind an annotation such as `Metre`, or the `Metre` of `Metre | None`."""
    if metadata := getattr(annotation, "__metadata__", None):
        return str(metadata[0])
    return next((unit_of(each) for each in get_args(annotation) if each is not type(None)), "")


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.rpartition(".")[2])
def test_examples(module: ModuleType) -> None:
    assert doctest.testmod(module).failed == 0


def test_chapters_are_found() -> None:
    assert len(FUNCTIONS) > 60
    assert len(RESULTS) > 8


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda function: function.__name__)
def test_parameters_stand_in_the_glossary(function: Callable[..., Any]) -> None:
    hints = get_type_hints(function, include_extras=True)
    for name in inspect.signature(function).parameters:
        if name in TEXTS:
            continue
        assert name in QUANTITIES, f"{function.__name__}: {name} is no quantity of the glossary"
        if hints[name] is not float:
            assert unit_of(hints[name]) == QUANTITIES[name].unit, name


@pytest.mark.parametrize("result", RESULTS, ids=lambda result: result.__name__)
def test_results_stand_in_the_glossary(result: type) -> None:
    hints = get_type_hints(result, include_extras=True)
    for field in dataclasses.fields(result):
        assert unit_of(hints[field.name]) == QUANTITIES[field.name].unit
        assert f"[{QUANTITIES[field.name].unit}]" in (result.__doc__ or "")


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda function: function.__name__)
def test_docstring_is_complete(function: Callable[..., Any]) -> None:
    text = inspect.getdoc(function) or ""
    if function.__name__ in TOGETHER:
        return
    for section in ("Parameters", "Returns", "Raises", "Examples", "References"):
        assert f"\n{section}\n{'-' * len(section)}\n" in text
    parameters = text.partition("\nParameters\n")[2].partition("\nReturns\n")[0]
    for name in inspect.signature(function).parameters:
        entry = re.search(rf"(?:^|[ ,]){name}(?:,[^:]*)? : .*\n((?: {{4}}.*\n?)+)", parameters, re.MULTILINE)
        assert entry, f"{function.__name__}: {name} is not described"
        if name not in TEXTS and "As in `" not in entry.group(1):
            assert f"[{QUANTITIES[name].unit}]" in entry.group(1), f"{function.__name__}: {name}"


def test_every_quantity_is_used() -> None:
    used = {name for function in FUNCTIONS for name in inspect.signature(function).parameters}
    used |= {field.name for result in RESULTS for field in dataclasses.fields(result)}
    used |= {function.__name__ for function in FUNCTIONS}
    other_names = {"boost_load", "spring_rate", "buckling_load", "stress_area"}  # several functions give them
    assert QUANTITIES.keys() - used - other_names == set()
