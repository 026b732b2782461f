"""`tappetry calc`: one registered calculation from the command line, and the list of all."""

from __future__ import annotations

import argparse
import math
from typing import TYPE_CHECKING, Any

from tappetry.cli.streams import answer, show

if TYPE_CHECKING:
    from tappetry.services.calculate import Calculated, Calculation, Reading


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    parser.add_argument("name", nargs="?", metavar="NAME", help="the calculation")
    parser.add_argument(
        "inputs",
        nargs="*",
        metavar="input=value",
        help="as in lobe_lift=.353in; without a unit the trade's is meant; a list is several input=value",
    )
    parser.add_argument("--list", action="store_true", help="list every calculation, or say what NAME takes")


def run(arguments: argparse.Namespace) -> int:
    """Print the outputs of a calculation, or the card of one, or the list of all."""
    from tappetry.cli import calc_tables
    from tappetry.records.problems import BadInput, Where
    from tappetry.services.calculate import calculate, calculations, find_calculation

    if arguments.list and arguments.name is not None:
        card = find_calculation(arguments.name)
        answer(card_data(card)) if arguments.json else show(*calc_tables.card(card))
    elif arguments.list:
        every = calculations()
        if arguments.json:
            answer({"calculations": [card_data(each) for each in every]})
        else:
            show(calc_tables.names(every))
    elif arguments.name is None:
        raise BadInput.at(
            Where("tappetry calc"), "no calculation is named", "", "NAME input=value ..., or --list"
        )
    else:
        done = calculate(arguments.name, arguments.inputs)
        answer(done_data(done)) if arguments.json else show(*calc_tables.done(done))
    return 0


def card_data(calculation: Calculation) -> dict[str, Any]:
    """What a calculation is and takes, values in the trade's units."""
    from tappetry.services.calculation_cards import default_value, limits

    return {
        "name": calculation.name,
        "title": calculation.title,
        "chapter": calculation.chapter,
        "formula": calculation.formula,
        "inputs": [
            {
                "name": each.name,
                "description": each.description,
                "qualifier": each.qualifier,
                "kind": each.kind,
                "unit": each.display_unit,
                "si_unit": each.unit,
                "range": {
                    "low": limits(each).low,
                    "high": limits(each).high,
                    "low_excluded": limits(each).low_excluded,
                },
                "choices": list(each.choices),
                "required": each.required,
                "default": default_value(each),
                "several": each.several,
            }
            for each in calculation.inputs
        ],
        "outputs": [
            {
                "name": each.name,
                "description": each.description,
                "qualifier": each.qualifier,
                "kind": each.kind,
                "unit": each.display_unit,
                "si_unit": each.unit,
            }
            for each in calculation.outputs
        ],
        **_said(calculation),
    }


def done_data(done: Calculated) -> dict[str, Any]:
    """The inputs used and the outputs by name, each with value and unit; what is not finite is null."""
    return {
        "name": done.calculation.name,
        "title": done.calculation.title,
        "formula": done.calculation.formula,
        "inputs": {
            each.name: {"as_read": each.as_read, **_value(each), **_spreads(done, each)}
            for each in done.inputs
        },
        "outputs": {each.name: {**_value(each), **_band(done, each)} for each in done.outputs},
        **_correlations(done),
        **_said(done.calculation),
    }


def _spreads(done: Calculated, given: Reading) -> dict[str, Any]:
    """The tolerances of an input that was stated with one."""
    from tappetry.services.calculation_cards import width_in_trade_unit

    if not any(given.spreads):
        return {}
    taken = next(each for each in done.calculation.inputs if each.name == given.name)
    said = [
        spread
        and {
            "stated_as": str(spread.spread),
            **{
                name: width_in_trade_unit(width, spread.nominal, taken)
                for name, width in (
                    ("plus", spread.plus),
                    ("minus", spread.minus),
                    ("standard_uncertainty", spread.standard_deviation),
                )
            },
        }
        for spread in given.spreads
    ]
    return {"tolerance": said if isinstance(given.si, list) else said[0]}


def _band(done: Calculated, result: Reading) -> dict[str, Any]:
    """The band of an output, in the trade's unit."""
    from tappetry.services.bands import CONFIDENCE
    from tappetry.services.calculation_cards import in_trade_unit, width_in_trade_unit

    band = done.bands.of.get(result.name) if done.bands else None
    if band is None:
        return {}
    given = next(each for each in done.calculation.outputs if each.name == result.name)
    data: dict[str, Any] = {
        "confidence": CONFIDENCE,
        "method": band.method,
        **{
            name: in_trade_unit(getattr(band, name), given)
            for name in ("low", "high", "mean", "worst_low", "worst_high")
        },
        "standard_uncertainty": width_in_trade_unit(band.deviation, band.mean, given),
        "shares": band.shares,
        "monte_carlo": None,
    }
    if band.drawn:
        data["monte_carlo"] = {
            "draws": band.drawn.count,
            **{name: in_trade_unit(getattr(band.drawn, name), given) for name in ("mean", "low", "high")},
            "standard_uncertainty": width_in_trade_unit(band.drawn.deviation, band.drawn.mean, given),
        }
    return {"band": data}


def _correlations(done: Calculated) -> dict[str, Any]:
    """How the outputs go together, because they share inputs."""
    if not done.bands:
        return {}
    pairs = done.bands.correlations.items()
    return {"correlations": [{"between": list(names), "value": value} for names, value in pairs]}


def _said(calculation: Calculation) -> dict[str, Any]:
    return {
        "sources": [
            {"text": source.text, "kind": source.kind, "from_memory": source.from_memory}
            for source in calculation.sources
        ],
        "cautions": list(calculation.cautions),
    }


def _value(given: Reading) -> dict[str, Any]:
    return {
        "value": _finite(given.value),
        "unit": given.unit,
        "si": _finite(given.si),
        "si_unit": given.si_unit,
    }


def _finite(value: Any) -> Any:
    if isinstance(value, list):
        return [_finite(each) for each in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value
