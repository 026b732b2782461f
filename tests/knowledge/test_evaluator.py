"""The evaluator of conditions comes without the command line of its package, and is the package's own."""

from __future__ import annotations

import subprocess
import sys

PROGRAM = """
import sys
from tappetry.knowledge.language import compile_expression
assert not {"cel", "prompt_toolkit", "typer"} & set(sys.modules), sorted(sys.modules)
import cel
from tappetry.knowledge import evaluator
assert cel.compile is evaluator.cel.compile
print(cel.evaluate("1 + 1"))
"""


def test_the_evaluator_is_loaded_alone_and_once() -> None:
    done = subprocess.run([sys.executable, "-c", PROGRAM], capture_output=True, text=True, check=False)
    assert (done.stdout, done.stderr) == ("2\n", "")
