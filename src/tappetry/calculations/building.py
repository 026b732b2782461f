"""Builds a registry entry from a function of the handbook: its signature and the glossary say the rest."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from typing import Any, get_type_hints

from tappetry.calculations.display import display_unit, kind_of
from tappetry.calculations.examples import EXAMPLES
from tappetry.calculations.model import TEXT, Calculation, Input, Output, Source
from tappetry.engineering.glossary import QUANTITIES

LISTS = (
    "step_durations",
    "flow_lifts",
    "flow_coefficients",
    "step_pressures",
    "step_temperatures",
    "trace_angles",
    "trace_pressures",
    "trace_temperatures",
    "shelf",
    "readings",
    "lobe_lifts",
    "keyways",
    "heights",
    "opening_readings",
    "closing_readings",
    "first_stop_readings",
    "second_stop_readings",
    "contributions",
    "tolerances",
    "freedoms",
    "factors",
    "powers",
    "factor_uncertainties",
    "sample",
    "sample_uncertainties",
    "stiffnesses",
    "table_angles",
    "table_lifts",
    "probe_angles",
    "probe_readings",
    "stock_lengths",
    "curve_speeds",
    "curve_torques",
)
"""Inputs of which a whole list is one value."""


def calculation(
    function: Callable[..., Any],
    *,
    title: str,
    chapter: str,
    formula: str,
    sources: tuple[Source, ...],
    name: str = "",
    outputs: tuple[str | Output, ...] = (),
    cautions: tuple[str, ...] = (),
    choices: Mapping[str, tuple[str, ...]] | None = None,
    texts: Mapping[str, str] | None = None,
    example: Mapping[str, Any] | None = None,
) -> Calculation:
    """Name a function of the handbook for people.

    Parameters
    ----------
    function : callable
        Its parameters are quantities of the glossary, or have choices, or are texts.
    title, chapter, formula, sources, cautions
        As in `Calculation`.
    name : str, optional
        Otherwise the function's name with hyphens.
    outputs : tuple, optional
        Quantities of the glossary, or outputs written out; otherwise the fields of its named result, or the
        function's own name.
    choices : mapping, optional
        The words that each text input may be.
    texts : mapping, optional
        What each text input is that may be any words.
    example : mapping, optional
        Inputs that differ from the usual example.
    """
    words = {name: f"one of {', '.join(each)}" for name, each in (choices or {}).items()} | dict(texts or {})
    parameters = inspect.signature(function).parameters.values()
    inputs = tuple(
        _text(parameter, words[parameter.name], (choices or {}).get(parameter.name, ()))
        if parameter.name in words
        else _input(parameter)
        for parameter in parameters
    )
    usual = {each.name: EXAMPLES[each.name] for each in inputs if each.required and each.name in EXAMPLES}
    return Calculation(
        name=name or function.__name__.replace("_", "-"),
        title=title,
        chapter=chapter,
        function=function,
        inputs=inputs,
        outputs=tuple(
            each if isinstance(each, Output) else _output(each) for each in outputs or _results(function)
        ),
        formula=formula,
        sources=sources,
        cautions=cautions,
        example={**usual, **(example or {})},
    )


def text_output(name: str, description: str) -> Output:
    """An output that is words."""
    return Output(name=name, kind=TEXT, unit="", display_unit="", description=description)


def number_output(name: str, description: str) -> Output:
    """An output that is a number without a unit, and no quantity of the handbook."""
    return Output(name=name, kind="dimensionless", unit="1", display_unit="1", description=description)


def _text(parameter: inspect.Parameter, description: str, choices: tuple[str, ...]) -> Input:
    required, default = _default(parameter)
    return Input(
        name=parameter.name,
        kind=TEXT,
        unit="",
        display_unit="",
        range=None,
        description=description,
        required=required,
        default=default,
        choices=choices,
    )


def _default(parameter: inspect.Parameter) -> tuple[bool, Any]:
    """Whether an input is needed, and what is taken where it is not given."""
    required = parameter.default is inspect.Parameter.empty
    return required, None if required else parameter.default


def _input(parameter: inspect.Parameter) -> Input:
    required, default = _default(parameter)
    quantity = QUANTITIES[parameter.name]
    return Input(
        name=quantity.name,
        kind=kind_of(quantity.name, quantity.unit),
        unit=quantity.unit,
        display_unit=display_unit(quantity.name, quantity.unit),
        range=quantity.range,
        description=quantity.meaning,
        qualifier=quantity.qualifier,
        required=required,
        default=default,
        several=quantity.name in LISTS,
    )


def _output(name: str) -> Output:
    quantity = QUANTITIES[name]
    return Output(
        name=name,
        kind=kind_of(name, quantity.unit),
        unit=quantity.unit,
        display_unit=display_unit(name, quantity.unit),
        description=quantity.meaning,
        qualifier=quantity.qualifier,
    )


def _results(function: Callable[..., Any]) -> tuple[str, ...]:
    """The fields of a function's named result, or its own name where it returns one number."""
    result = get_type_hints(function).get("return")
    if is_dataclass(result):
        return tuple(each.name for each in fields(result))
    return (function.__name__,)
