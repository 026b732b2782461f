"""One way to compile a kernel: kept on disk, deaf to zero divisors as NumPy is, and free of the interpreter.

Numba looks at a kernel's own file when it asks whether what it kept is stale, and not at the files of the
kernels that it calls. So everything is kept in a folder that is named after the text of all of them.
"""

from __future__ import annotations

from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any, TypeVar, cast

import numba
from platformdirs import user_cache_path

Function = TypeVar("Function", bound=Callable[..., Any])


def kept_in(base: Path, sources: Path) -> Path:
    """The folder below `base` for what is compiled from the modules of the folder `sources`."""
    mark = sha256(numba.__version__.encode())
    for module in sorted(sources.glob("*.py")):
        mark.update(module.read_bytes())
    return base / f"kernels-{mark.hexdigest()[:16]}"


_config: Any = numba.config
if not _config.CACHE_DIR:
    # Where this folder cannot be written Numba falls back to those it knows.
    _config.CACHE_DIR = str(kept_in(user_cache_path("tappetry"), Path(__file__).parent))


def kernel(function: Function) -> Function:
    """Compile a function when it is first called, and keep it."""
    return cast(Function, numba.njit(cache=True, nogil=True, error_model="numpy")(function))


def inlined(function: Function) -> Function:
    """Compile a small function into those that call it."""
    return cast(Function, numba.njit(inline="always", error_model="numpy")(function))


def greatest(function: Function) -> Function:
    """Compile a search for the greatest of numbers that are never NaN: so it may look at several at once."""
    flags = {"nnan", "nsz"}
    return cast(Function, numba.njit(cache=True, nogil=True, error_model="numpy", fastmath=flags)(function))
