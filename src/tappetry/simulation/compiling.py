"""Compiles kernels by Numba, deaf to zero divisors as NumPy is; imported only where nothing is kept yet.

What a kernel calls is kept apart, for another process that compiles beside this one.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any, cast

import numba
from numba.extending import typeof_impl

from tappetry.simulation.compiled import Kernel, kept_folder
from tappetry.simulation.machine_code import Code

LETTERS = {numba.float64: "d", numba.int64: "q", numba.boolean: "?", numba.none: ""}

_config: Any = numba.config
_type: Any = numba.typeof
if not _config.CACHE_DIR and kept_folder() is not None:
    _config.CACHE_DIR = str(kept_folder())

OPTIONS: dict[str, Any] = {
    "error_model": "numpy",
    "fastmath": {"contract"},
    "no_cpython_wrapper": True,
    "no_cfunc_wrapper": True,
    "_nrt": False,
}
"""A multiplication and an addition become one where the processor can; nothing is made by which the
interpreter would call it, and nothing counts references."""


@cache
def _called(kernel: Kernel) -> Any:
    """What Numba makes of a kernel that others call, kept where that can be."""
    options = {**OPTIONS, "forceinline": kernel.is_inlined}
    try:
        return numba.njit(cache=True, **options)(kernel.function)
    except RuntimeError:  # there is nowhere to keep it
        return numba.njit(**options)(kernel.function)


@typeof_impl.register(Kernel)
def _type_of(kernel: Kernel, _context: Any) -> Any:
    return _type(_called(kernel))


def _types(arguments: tuple[Any, ...]) -> tuple[Any, ...]:
    return tuple([_type(each) for each in arguments])


def compile_for_others(function: Callable[..., Any], *arguments: Any) -> None:
    """Compile a kernel for arguments of these types, for kernels that call it in this process or another."""
    _called(cast(Kernel, function)).compile(_types(arguments))


def compiled_code(kernel: Kernel, arguments: tuple[Any, ...]) -> Code:
    """Compile a kernel, with all that it calls, for arguments of these types; it does not run."""
    types, whole = _types(arguments), numba.njit(**OPTIONS)(kernel.function)
    whole.compile(types)
    made = whole.overloads[types]
    returned = made.signature.return_type
    is_tuple = isinstance(returned, numba.types.BaseTuple)
    letters = "".join(LETTERS[each] for each in (returned if is_tuple else [returned]))
    return Code(made.fndesc.llvm_func_name, letters, is_tuple, made.library._get_compiled_object())
