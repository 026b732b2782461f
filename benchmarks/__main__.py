"""Runs the benchmarks: all of them, or those that are named."""

from __future__ import annotations

import sys
from importlib import import_module

from benchmarks.pairs import FULL, SEED, NotHere, show

#: In the order of docs/reference/benchmarks.md, which says what each measures.
NAMES = (
    "kit_demo",
    "kit_large",
    "variants",
    "compare",
    "ask",
    "conflict",
    "why_not",
    "checker",
    "identify",
    "conditions",
    "calculations",
    "piston_to_valve",
    "proofs",
    "combinations",
    "pipe",
    "shock_tube",
    "engine_cycle",
    "first_point",
    "valve_train",
    "search",
    "pages",
    "knowledge_load",
    "catalogue_load",
    "quote_pdf",
    "startup",
    "first_page",
)


def main(names: list[str]) -> int:
    """Measure and print; a name that is not there is told."""
    unknown = [name for name in names if name not in NAMES]
    if unknown:
        print(f"there is no benchmark {', '.join(unknown)}; there are: {', '.join(NAMES)}", file=sys.stderr)
        return 2
    print(f"seed {SEED}; {FULL.rounds} alternating pairs each; times are those of one call")
    for name in names or NAMES:
        print(f"\n{name}")
        try:
            show(import_module(f"benchmarks.{name}").measure(FULL))
        except NotHere as missing:
            print(f"    {missing}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
