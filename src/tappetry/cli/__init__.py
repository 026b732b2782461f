"""The command line: one small module per command; nothing heavy is imported before it is needed."""

from __future__ import annotations

import gc
import sys
from collections.abc import Sequence

#: So many objects more than before make the interpreter look for garbage. Its own number, 700, made that a
#: third of the time in which the app comes up, for what is read and imported then stays.
GARBAGE_AFTER = 20_000

#: Every command and what it does, in the order in which a person meets them. Each has a module of its name.
COMMANDS = {
    "begin": "begin a shop of one's own in an empty folder, from templates",
    "demo": "work the jobs of an invented shop and write their papers",
    "identify": "say which engine it is, and what to ask next",
    "job": "start a job: a commented file to fill in",
    "kit": "the complete order for a job, proved and priced",
    "ask": "what to ask next, what may be ordered now, what waits for what",
    "why": "why each line stands in the kit, down to who said so",
    "compare": "packages, plans or days side by side, with what changes and why",
    "drag": "what each choice of the plan drags along, before it is chosen",
    "prove": "every check of a kit against its limit",
    "measure": "what a measurement changes in proofs and lines",
    "quote": "write the customer's quote as PDF and JSON",
    "order": "write the order to each supplier as PDF and JSON",
    "prices": "what a supplier's price list would change, and taking it whole or row by row",
    "reprice": "an old quote at the prices of today: whether it stands, and what changed",
    "simulate": "torque and power of an engine with a camshaft, from its gas in motion",
    "calibrate": "an engine fitted to a torque curve that was measured, kept under a name",
    "repeat": "a simulated result that was kept, made again: whether it comes out the same",
    "search": "the camshafts for a job that no other one beats, on the shelf and to be ground",
    "serve": "the shop app in a browser, on this machine alone or for whoever has an account",
    "account": "make, change and close accounts, and tokens for other programs",
    "books": "write the books of the shop as CSV for its accountant",
    "backup": "write a packed copy of the database, proved by bringing it back",
    "restore": "bring a backup back into an empty database",
    "export": "write everything that the database holds as lines of JSON",
    "import": "put exported lines into an empty database",
    "calc": "run one calculation, or list them all",
    "audit": "look for mistakes in a shop's own text files",
    "schema": "print the schema of a text file, for editors and scripts",
}

HELP = """\
usage: tappetry COMMAND ...

Plans, proves, kits, documents and prices camshaft conversions on production pushrod engines.

commands:
{commands}

  tappetry COMMAND --help    says what a command takes
  tappetry --version         says which version this is

The shop's data lie in the folder that TAPPETRY_HOME names. With --json a command prints one JSON object.
Exit codes: 0 done, 2 the request cannot be met, 3 bad input, 70 a fault of the program.
"""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    words = list(sys.argv[1:] if argv is None else argv)
    gc.set_threshold(GARBAGE_AFTER)
    try:
        code = _run(words)
        sys.stdout.flush()
        return code
    except KeyboardInterrupt:
        print("tappetry: stopped", file=sys.stderr)
        return 130
    except BrokenPipeError:  # whoever read the answer has read enough
        _forget_the_pipe()
        return 0
    except Exception as error:
        from tappetry.cli.failing import report

        return report(error, words)


def _run(words: list[str]) -> int:
    first = words[0] if words else "--help"
    if first in ("--help", "-h", "help"):
        width = max(map(len, COMMANDS))
        print(HELP.format(commands="\n".join(f"  {name:{width}}  {what}" for name, what in COMMANDS.items())))
        return 0
    if first == "--version":
        from tappetry import __version__

        print(f"tappetry {__version__}")
        return 0
    from tappetry.cli.dispatch import dispatch

    return dispatch(first, words[1:])


def _forget_the_pipe() -> None:
    """Let the interpreter end without complaint about a pipe that is closed."""
    import os

    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
