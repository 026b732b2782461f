"""What a person or a script is told when a command fails, and with which exit code."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tappetry.cli.streams import answer, note, show_problem
from tappetry.records.problems import BadInput, OurFault, TappetryError, Where


def report(error: Exception, words: Sequence[str]) -> int:
    """Tell what went wrong and return the exit code; a fault of ours is saved to a file first.

    With ``--json`` among the words the error is one JSON object on standard output.
    """
    known = _known(error)
    data = known.as_data()
    if isinstance(known, OurFault):
        data |= _saved(error, words)
    if "--json" in words:
        answer({"error": data})
    elif isinstance(known, OurFault):
        note(f"tappetry: a fault of the program, not of yours: {known}")
        note(f"{data['where'] or 'nowhere'}: {data['ways_out'][0]}")
    else:
        show_problem(known)
    return known.exit_code


def _saved(error: Exception, words: Sequence[str]) -> dict[str, Any]:
    """Where the problem is saved, and what to do with it."""
    from tappetry.services.problems_file import save_problem

    try:
        file = save_problem(error, words)
    except TappetryError as refused:
        return {"where": "", "ways_out": [f"the problem could not be saved: {refused}"]}
    advice = "the problem is saved there with all that is needed to study it; send it to the developers"
    return {"where": str(file), "ways_out": [advice]}


def _known(error: Exception) -> TappetryError:
    """The error as one of ours: a file that the system refuses is bad input, anything else our fault."""
    if isinstance(error, TappetryError):
        return error
    if isinstance(error, OSError) and error.filename is not None:
        return BadInput.at(Where(str(error.filename)), f"the file cannot be used: {error.strerror}")
    return OurFault(f"{type(error).__name__}: {error}")
