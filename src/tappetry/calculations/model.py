"""What the registry says of a calculation: its inputs, outputs, formula, sources and cautions."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cached_property
from typing import Any, Literal

from tappetry.engineering.ranges import Range

TEXT = "text"
"""The kind of an input or an output that is words and not a number."""

SourceKind = Literal["standard", "textbook", "common practice, no source"]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a formula or a number comes from.

    Attributes
    ----------
    text : str
        Title, edition, equation or table, as far as they are known.
    kind : str
        A published standard, textbook physics, or common practice without a source.
    from_memory : bool
        The source was not open when the formula was written down; a test re-derives it.
    """

    text: str
    kind: SourceKind
    from_memory: bool = False


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a calculation.

    Attributes
    ----------
    name : str
        The quantity's one name.
    kind : str
        Kind of quantity, as the units are grouped; `text` for words.
    unit : str
        SI unit in which the value is handed over.
    display_unit : str
        The unit in which the trade writes it.
    range : Range or None
        What it may be, in the SI unit; None for a text.
    description : str
        What it is.
    qualifier : str
        Crank or cam, gauge or absolute, mean or outside, where two people could differ.
    required : bool
        It has no default.
    default : float, str or None
        What is taken where it is left out, in the SI unit; None where it is simply left out.
    choices : tuple of str
        The words that a text may be; empty where it may be any.
    several : bool
        A list of values is one input, as a shelf of shims.
    """

    name: str
    kind: str
    unit: str
    display_unit: str
    range: Range | None
    description: str
    qualifier: str = ""
    required: bool = True
    default: float | str | None = None
    choices: tuple[str, ...] = ()
    several: bool = False


@dataclass(frozen=True, slots=True)
class Output:
    """One output of a calculation: its name, kind, SI unit, the trade's unit, and what it is."""

    name: str
    kind: str
    unit: str
    display_unit: str
    description: str
    qualifier: str = ""


class InputError(ValueError):
    """The inputs of a calculation do not fit it.

    Attributes
    ----------
    calculation : str
        Its name.
    unknown : dict of str to str
        Each input that it does not take, with the closest one that it does; empty where none is near.
    missing : tuple of str
        Each input that it needs and was not given.
    wrong_kind : tuple of str
        Each input that came as a word where a number is taken, or the other way round.
    """

    def __init__(
        self,
        calculation: Calculation,
        unknown: Mapping[str, str],
        missing: tuple[str, ...],
        wrong_kind: tuple[str, ...] = (),
    ) -> None:
        self.calculation = calculation.name
        self.unknown, self.missing, self.wrong_kind = dict(unknown), missing, wrong_kind
        inputs = {each.name: each for each in calculation.inputs}
        said = [
            f"it takes no {name!r}" + (f", the closest is {closest!r}" if closest else "")
            for name, closest in unknown.items()
        ]
        said += [
            f"it needs {name!r} ({inputs[name].description}, in {inputs[name].unit or 'words'})"
            for name in missing
        ]
        said += [f"{name!r} is {_what_is_taken(inputs[name])}" for name in wrong_kind]
        super().__init__(f"{calculation.name}: {'; '.join(said)}. It takes: {', '.join(inputs)}")


def _what_is_taken(taken: Input) -> str:
    if taken.choices:
        return f"one of {', '.join(taken.choices)}"
    return "a text" if taken.kind == TEXT else "a number"


@dataclass(frozen=True)
class Calculation:
    """A function of the handbook as people meet it.

    Attributes
    ----------
    name : str
        Its name in the registry, as `lift-at-valve`.
    title, chapter : str
        For a page of them.
    function : callable
        The function itself; it takes the inputs by name in SI units, and holds them to their ranges.
    inputs, outputs : tuple
        In the order of the function.
    formula : str
        One plain line.
    sources : tuple of Source
        At least one.
    cautions : tuple of str
        What is said with every result.
    example : mapping
        Inputs of an invented engine, in SI units, for a form that is opened empty.
    """

    name: str
    title: str
    chapter: str
    function: Callable[..., Any]
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    formula: str
    sources: tuple[Source, ...]
    cautions: tuple[str, ...] = ()
    example: Mapping[str, Any] = field(default_factory=dict)

    @cached_property
    def _accepted(self) -> frozenset[str]:
        return frozenset(each.name for each in self.inputs)

    @cached_property
    def _needed(self) -> frozenset[str]:
        return frozenset(each.name for each in self.inputs if each.required)

    @cached_property
    def _texts(self) -> frozenset[str]:
        return frozenset(each.name for each in self.inputs if each.kind == TEXT)

    @cached_property
    def _results(self) -> tuple[str, ...]:
        return tuple(each.name for each in self.outputs)

    def evaluate(self, inputs: Mapping[str, Any]) -> dict[str, Any]:
        """Outputs by name from inputs by name, all in SI units; arrays broadcast.

        Parameters
        ----------
        inputs : mapping
            Floats or array_likes; a text where the input is of the kind `text`.

        Returns
        -------
        dict
            A float or an array for each output; a text where the output is of the kind `text`.

        Raises
        ------
        InputError
            An input is unknown, missing, or of the wrong kind.
        OutOfRange
            A value lies outside the range in which the function is true.
        """
        names = inputs.keys()
        if not names <= self._accepted or not names >= self._needed:
            raise self._misfit(inputs)
        for name, value in inputs.items():
            if isinstance(value, str) != (name in self._texts):
                raise self._misfit(inputs)
        result = self.function(**inputs)
        if len(self._results) == 1:
            return {self._results[0]: result}
        return {name: getattr(result, name) for name in self._results}

    def _misfit(self, inputs: Mapping[str, Any]) -> InputError:
        return InputError(
            self,
            unknown={name: closest(name, self._accepted) for name in inputs if name not in self._accepted},
            missing=tuple(each.name for each in self.inputs if each.required and each.name not in inputs),
            wrong_kind=tuple(
                name
                for name, value in inputs.items()
                if name in self._accepted and isinstance(value, str) != (name in self._texts)
            ),
        )


def closest(name: str, names: frozenset[str] | tuple[str, ...]) -> str:
    """The name nearest in spelling, or nothing where none is near."""
    found = get_close_matches(name, sorted(names), n=1, cutoff=0.5)
    return found[0] if found else ""
