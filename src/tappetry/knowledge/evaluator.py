"""The evaluator of conditions by itself: its package would load a command line of its own with it.

That command line and its two libraries for terminals take a fifth of a second, at every start of the program.
"""

from __future__ import annotations

import sys
from importlib.machinery import PathFinder
from importlib.util import find_spec, module_from_spec
from types import ModuleType


def _load() -> ModuleType:
    """The compiled part of the package, under the name by which the package would find it loaded."""
    name = "cel.cel"
    if name in sys.modules:
        return sys.modules[name]
    package = find_spec("cel")
    folders = None if package is None else package.submodule_search_locations
    spec = PathFinder.find_spec(name, folders)
    if spec is None or spec.loader is None:
        raise ImportError("the evaluator of conditions is not installed; `make setup` installs it", name=name)
    module = module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


cel = _load()
