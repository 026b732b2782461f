"""Calculators: one page per registered calculation, with ranges, formula, result and sources."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import Any

from fastapi import APIRouter, Request, Response

from tappetry.records.problems import BadInput
from tappetry.services.calculate import Calculated, Calculation, calculate, calculations, find_calculation
from tappetry.services.calculation_cards import default_text, in_trade_unit, range_text, unit_text
from tappetry.web.render import render
from tappetry.web.security import fragment

router = APIRouter()


@dataclass(frozen=True, slots=True)
class CalculatorsPage:
    """All calculations by chapter."""

    chapters: tuple[tuple[str, tuple[Calculation, ...]], ...]


@dataclass(frozen=True, slots=True)
class Field:
    """One input: what it is, what it may be, and what stands in it now."""

    name: str
    description: str
    may_be: str
    left_out: str
    unit: str
    choices: tuple[str, ...]
    required: bool
    value: str


@dataclass(frozen=True, slots=True)
class Answer:
    """One output in the trade's unit, with its band where tolerances were stated."""

    description: str
    value: str
    band: str


@dataclass(frozen=True, slots=True)
class CalculatorPage:
    """One calculation with its inputs, and its results or what is wrong with them."""

    calculation: Calculation
    fields: tuple[Field, ...]
    answers: tuple[Answer, ...]
    complaints: tuple[str, ...]


@router.get("/calculators")
def every(request: Request) -> Response:
    """All calculations."""
    chapters = groupby(calculations(), key=lambda each: each.chapter)
    page = CalculatorsPage(tuple((title, tuple(group)) for title, group in chapters))
    return render(request, "calculators.html", page, "calculators")


@router.get("/calculators/{name}")
def one(request: Request, name: str) -> Response:
    """One calculation with the inputs that are stated, else with those of an invented engine."""
    calculation = find_calculation(name)
    stated = {each.name: request.query_params.getlist(each.name) for each in calculation.inputs}
    given = {key: [text for text in texts if text.strip()] for key, texts in stated.items()}
    if not any(key in request.query_params for key in given):
        given = {key: _example(calculation, key) for key in given}
    answers: tuple[Answer, ...] = ()
    complaints: tuple[str, ...] = ()
    several = {each.name for each in calculation.inputs if each.several}
    words = [
        f"{key}={text}"
        for key, texts in given.items()
        for typed in texts
        for text in (typed.split(";") if key in several else [typed])
    ]
    try:
        answers = tuple(_answers(calculate(name, words)))
    except BadInput as error:
        complaints = tuple(map(str, error.complaints))
    page = CalculatorPage(calculation, tuple(_fields(calculation, given)), answers, complaints)
    template = "calculator_result.html" if fragment(request) else "calculator.html"
    return render(request, template, page, "calculators")


def _example(calculation: Calculation, name: str) -> list[str]:
    """The value of an invented engine for an input, as a person would type it."""
    if name not in calculation.example:
        return []
    taken = next(each for each in calculation.inputs if each.name == name)
    stated = calculation.example[name]
    value = in_trade_unit(list(stated) if isinstance(stated, tuple) else stated, taken)
    return ["; ".join(map(_figure, value))] if isinstance(value, list) else [_figure(value)]


def _fields(calculation: Calculation, given: dict[str, list[str]]) -> list[Field]:
    return [
        Field(
            name=each.name,
            description=" ".join(part for part in (each.description, each.qualifier) if part),
            may_be=range_text(each),
            left_out=default_text(each),
            unit=unit_text(each.display_unit).strip(),
            choices=each.choices,
            required=each.required,
            value="; ".join(given[each.name]),
        )
        for each in calculation.inputs
    ]


def _answers(calculated: Calculated) -> list[Answer]:
    outputs = {each.name: each for each in calculated.calculation.outputs}
    found = []
    for reading in calculated.outputs:
        band = ""
        if calculated.bands is not None and reading.name in calculated.bands.of:
            ends = calculated.bands.of[reading.name]
            low, high = (in_trade_unit(end, outputs[reading.name]) for end in (ends.low, ends.high))
            band = f"{_figure(low)} to {_figure(high)}"
        values = reading.value if isinstance(reading.value, list) else [reading.value]
        shown = "; ".join(map(_figure, values)) + unit_text(reading.unit)
        found.append(Answer(reading.description, shown, band))
    return found


def _figure(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.6g}" if isinstance(value, int | float) else str(value)
