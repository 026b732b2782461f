"""Kernels: functions that work on numbers alone and run as machine code, free of the interpreter.

Their machine code is kept in the user's cache folder, in one that is named after the text of all of them, for
one kernel calls another in another file; what compiles is imported where nothing is kept yet.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import lru_cache, update_wrapper
from hashlib import sha256
from importlib.util import find_spec
from pathlib import Path
from shutil import rmtree
from time import time
from typing import Any, TypeVar, cast

from platformdirs import user_cache_path

from tappetry.simulation.machine_code import Kind, Native, file_of, kind_of, load, processor, read, write

OLD = 30 * 86400.0
"""Time after which what another text was compiled to is forgotten. [s]"""

Function = TypeVar("Function", bound=Callable[..., Any])
SOURCES = Path(__file__).parent
_one_at_a_time = threading.RLock()


class Kernel:
    """A function that runs as machine code; made by `kernel` or `inlined`.

    Attributes
    ----------
    function : callable
        As it is written.
    is_inlined : bool
        Whether it is compiled into those that call it.
    made : dict
        What runs, by the kinds of the arguments.
    """

    function: Callable[..., Any]

    def __init__(self, function: Callable[..., Any], is_inlined: bool) -> None:
        self.function, self.is_inlined = function, is_inlined
        self.made: dict[tuple[Kind, ...], Native] = {}
        update_wrapper(self, function)

    def __call__(self, *arguments: Any) -> Any:
        """Run it; what it is called with for the first time is read or compiled first."""
        kinds = tuple([kind_of(each) for each in arguments])
        native = self.made.get(kinds)
        if native is None:
            with _one_at_a_time:
                native = self._make(kinds, arguments)
        return native(arguments)

    def _make(self, kinds: tuple[Kind, ...], arguments: tuple[Any, ...]) -> Native:
        if kinds not in self.made:
            file = self._file(kinds)
            code = None if file is None else read(file)
            if code is None:
                from tappetry.simulation.compiling import compiled_code

                code = compiled_code(self, arguments)
                if file is not None:
                    write(file, code)
            self.made[kinds] = load(code, kinds)
        return self.made[kinds]

    def _file(self, kinds: tuple[Kind, ...]) -> Path | None:
        """Where its code is kept; None where nothing can be, or its text is none of those that are marked."""
        source = Path(self.function.__code__.co_filename)
        kept = kept_folder() if source.parent == SOURCES else None
        return None if kept is None else file_of(kept, f"{source.stem}.{self.function.__qualname__}", kinds)


def kernel(function: Function) -> Function:
    """Compile a function when it is first called, and keep it."""
    return cast(Function, Kernel(function, is_inlined=False))


def inlined(function: Function) -> Function:
    """Compile a small function into those that call it."""
    return cast(Function, Kernel(function, is_inlined=True))


def kept_in(base: Path, sources: Path) -> Path:
    """The folder below `base` for what the modules of the folder `sources` become on this processor."""
    mark = sha256(processor().encode())
    mark.update(_version_of_numba())
    for module in sorted(sources.glob("*.py")):
        mark.update(module.read_bytes())
    return base / f"kernels-{mark.hexdigest()[:16]}"


def _version_of_numba() -> bytes:
    """What it says of its version, without bringing it up."""
    found = find_spec("numba")
    assert found is not None
    assert found.origin is not None
    return Path(found.origin).with_name("_version.py").read_bytes()


def forget_old(base: Path, kept: Path, now: float) -> None:
    """Remove what was compiled from other texts and has not been used for long."""
    for folder in base.glob("kernels-*"):
        if folder != kept and now - folder.stat().st_mtime > OLD:
            rmtree(folder, ignore_errors=True)


@lru_cache(maxsize=1)
def kept_folder() -> Path | None:
    """Where machine code is kept, which is there; None where nothing can be written."""
    base = user_cache_path("tappetry")
    kept = kept_in(base, SOURCES)
    try:
        if kept.is_dir():
            kept.touch()
        else:
            forget_old(base, kept, time())
            kept.mkdir(parents=True)
    except OSError:
        return None
    return kept


def nothing_kept() -> bool:
    """Whether no kernel of this text was compiled and kept before."""
    kept = kept_folder()
    return kept is not None and not any(kept.iterdir())
