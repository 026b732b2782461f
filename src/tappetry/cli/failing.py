"""What a person or a script is told when a command fails, and with which exit code."""

from __future__ import annotations

from collections.abc import Sequence

from tappetry.cli.streams import answer, note, show_problem
from tappetry.records.problems import OurFault, TappetryError


def report(error: Exception, words: Sequence[str]) -> int:
    """Tell what went wrong and return the exit code; a fault of ours is saved to a file first.

    With ``--json`` among the words the error is one JSON object on standard output.
    """
    known = error if isinstance(error, TappetryError) else OurFault(f"{type(error).__name__}: {error}")
    data = known.as_data()
    if isinstance(known, OurFault):
        from tappetry.services.problems_file import save_problem

        file = save_problem(error, words)
        data["where"] = str(file)
        data["ways_out"] = ["send that file to the developers: it holds all that they need"]
    if "--json" in words:
        answer({"error": data})
    elif isinstance(known, OurFault):
        note(f"tappetry: a fault of the program, not of yours: {known}")
        note(f"The problem is saved in {data['where']}; {data['ways_out'][0]}.")
    else:
        show_problem(known)
    return known.exit_code
