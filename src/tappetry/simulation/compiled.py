"""One way to compile a kernel: kept on disk, deaf to zero divisors as NumPy is, and free of the interpreter.

Numba looks at a kernel's own file when it asks whether what it kept is stale, and not at the files of the
kernels that it calls. So everything is kept in a folder that is named after the text of all of them.
"""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from hashlib import sha256
from importlib import import_module
from pathlib import Path
from shutil import rmtree
from time import time
from typing import Any, TypeVar, cast

import numba
from numba.core import entrypoints
from numba.core.caching import FunctionCache
from numba.np import linalg
from platformdirs import user_cache_path

OLD = 30 * 86400.0
"""Time after which what another text was compiled to is forgotten. [s]"""

Function = TypeVar("Function", bound=Callable[..., Any])


def kept_in(base: Path, sources: Path) -> Path:
    """The folder below `base` for what is compiled from the modules of the folder `sources`."""
    mark = sha256(numba.__version__.encode())
    for module in sorted(sources.glob("*.py")):
        mark.update(module.read_bytes())
    return base / f"kernels-{mark.hexdigest()[:16]}"


def forget_old(base: Path, kept: Path, now: float) -> None:
    """Remove what was compiled from other texts and has not been used for long."""
    for folder in base.glob("kernels-*"):
        if folder != kept and now - folder.stat().st_mtime > OLD:
            rmtree(folder, ignore_errors=True)


def _folder() -> Path:
    base = user_cache_path("tappetry")
    kept = kept_in(base, Path(__file__).parent)
    if kept.is_dir():
        kept.touch()
    else:
        forget_old(base, kept, time())
    return kept


def _come_up_lean() -> None:
    """Let Numba come up without what no kernel needs; it takes a fifth of a second.

    It would load SciPy's linear algebra to see that it is there, and what calls functions of other languages,
    and look through all that is installed for what extends it.
    """

    def missing() -> None:
        raise ImportError("the kernels need no linear algebra")

    there, linalg.ensure_blas = linalg.ensure_blas, missing
    try:
        import_module("numba.np.arraymath")
    finally:
        linalg.ensure_blas = there
    extensions: Any = entrypoints
    extensions._already_initialized = True
    # Only where no other thread could be looking for it meanwhile.
    if "cffi" not in sys.modules and threading.active_count() == 1:
        modules: dict[str, Any] = sys.modules
        modules["cffi"] = None
        try:
            import_module("numba.core.typing.cffi_utils")
        finally:
            del modules["cffi"]


_come_up_lean()
_config: Any = numba.config
if not _config.CACHE_DIR:
    # Where this folder cannot be written Numba falls back to one beside the program.
    with suppress(OSError):
        _config.CACHE_DIR = str(_folder())


class _Kept(FunctionCache):
    """Reads what was kept without the tables by which Numba compiles: those take a sixth of a second."""

    def load_overload(self, sig: Any, target_context: Any) -> Any:
        """What was kept for a signature; None where nothing was, and then all is ready to compile."""
        cache: Any = self
        with cache._guard_against_spurious_io_errors():
            kept = cache._load_overload(sig, target_context)
            if kept is not None:
                return kept
        target_context.refresh()
        return None


def _compile(function: Function, **options: Any) -> Function:
    """Compile a function when it is first called; keep it unless there is nowhere to keep it.

    A multiplication and an addition become one where the processor can.
    """
    shared = {"nogil": True, "error_model": "numpy", "_nrt": False, "fastmath": {"contract"}, **options}
    try:
        compiled: Any = numba.njit(cache=True, **shared)(function)
        compiled._cache.__class__ = _Kept
        return cast(Function, compiled)
    except RuntimeError:
        return cast(Function, numba.njit(**shared)(function))


def nothing_kept() -> bool:
    """Whether no kernel of this text was compiled and kept before."""
    return not any(Path(_config.CACHE_DIR).rglob("*.nbi")) if _config.CACHE_DIR else False


def compile_for(function: Callable[..., Any], *arguments: Any) -> None:
    """Compile a kernel for arguments of these types, or read it where it was kept; it does not run."""
    type_of: Any = numba.typeof
    cast(Any, function).compile(tuple(type_of(each) for each in arguments))


def kernel(function: Function) -> Function:
    """Compile a function when it is first called, and keep it."""
    return _compile(function)


def inlined(function: Function) -> Function:
    """Compile a small function into those that call it."""
    return _compile(function, forceinline=True)
