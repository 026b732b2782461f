"""Machine code of a kernel: kept, read again and called, without what compiled it.

A compiled function takes where to write its result and its error, then its arguments, and returns 0. An array
counts as its two owners, how many elements of how many bytes it has, where they lie, its lengths and its
steps; a tuple as all that it holds [1]_. Before it stands a door, made for it, through which the interpreter
passes one word for a number or an array: what an array consists of, the door reads where NumPy has it [2]_.

References
----------
.. [1] Numba, Architecture: calling conventions, and the models of data in its ``core.datamodel``.
.. [2] NumPy, C-API: Python types and C-structures, ``PyArrayObject``.
"""

from __future__ import annotations

import ctypes
import json
import os
import secrets
import struct
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256
from itertools import count
from pathlib import Path
from typing import Any

import llvmlite.binding as llvm
import numpy as np

Kind = Any
"""What machine code tells apart in an argument: a letter for a number, a tuple for an array or a tuple."""

NUMBERS: dict[type, str] = {float: "d", np.float64: "d", int: "q", np.int64: "q", bool: "?"}
"""The letters that `struct` uses for them."""

IN_ROWS, IN_COLUMNS = 0x0001, 0x0002
OTHERS = 0x0100 | 0x0400
"""Of NumPy's flags of an array: how it lies; whether it is aligned, and may be written."""

DATA = object.__basicsize__
LENGTHS, STEPS = DATA + 16, DATA + 24
"""Where an array's object has the addresses of its elements, of its lengths and of its steps. [byte]"""

DOOR = "door"


@dataclass(frozen=True, slots=True)
class Code:
    """What a kernel was compiled to for arguments of some kinds.

    Attributes
    ----------
    symbol : str
        The name of the function in it.
    returns : str
        What it returns, by the letters of `struct`; none where it returns nothing.
    is_tuple : bool
        Whether it returns a tuple.
    binary : bytes
        An object file.
    """

    symbol: str
    returns: str
    is_tuple: bool
    binary: bytes


def processor() -> str:
    """What code is compiled for: code for one processor may hold what another one cannot do."""
    features = llvm.get_host_cpu_features().flatten()
    return f"{llvm.get_process_triple()} {llvm.get_host_cpu_name()} {features}"


def kind_of(argument: Any) -> Kind:
    """The kind of an argument.

    Raises
    ------
    TypeError
        A kernel takes arrays, numbers and tuples of them.
    """
    kind = type(argument)
    if kind is np.ndarray:
        flags = argument.flags.num
        lies = flags & IN_ROWS or flags & IN_COLUMNS
        return argument.dtype.str, argument.ndim, lies | flags & OTHERS
    number = NUMBERS.get(kind)
    if number is not None:
        return number
    if kind is tuple:
        return ("tuple", *[kind_of(each) for each in argument])
    raise TypeError(f"a kernel takes arrays, numbers and tuples of them, not {kind.__name__}")


def _flat(kinds: tuple[Kind, ...]) -> Iterator[Kind]:
    """The kinds of all numbers and arrays, one after the other."""
    for kind in kinds:
        if kind[0] == "tuple":
            yield from _flat(kind[1:])
        else:
            yield kind


def _words(arguments: tuple[Any, ...]) -> list[Any]:
    """The words for all numbers and arrays, one after the other."""
    words: list[Any] = []
    for argument in arguments:
        kind = type(argument)
        if kind is np.ndarray:
            words.append(id(argument))
        elif kind is tuple:
            words += _words(argument)
        else:
            words.append(argument)
    return words


def door_to(symbol: str, kinds: tuple[Kind, ...]) -> str:
    """The text of a function that reads words, and calls another with what they stand for."""
    lines: list[str] = []
    passed = ["ptr %result", "ptr %error"]
    number = count()

    def load(kind: str, base: str, place: int) -> str:
        name = next(number)
        lines.append(f"  %a{name} = getelementptr i8, ptr {base}, i64 {place}")
        lines.append(f"  %v{name} = load {kind}, ptr %a{name}")
        return f"%v{name}"

    for place, kind in enumerate(_flat(kinds)):
        if kind == "d":
            passed.append(f"double {load('double', '%words', 8 * place)}")
        elif kind == "q":
            passed.append(f"i64 {load('i64', '%words', 8 * place)}")
        elif kind == "?":
            passed.append(f"i8 {load('i8', '%words', 8 * place)}")
        else:
            letter, dimensions, _ = kind
            array = load("ptr", "%words", 8 * place)
            first = load("i64", array, DATA)
            lengths, steps = load("ptr", array, LENGTHS), load("ptr", array, STEPS)
            many = "1"
            shape = [load("i64", lengths, 8 * each) for each in range(dimensions)]
            for length in shape:
                product = f"%m{next(number)}"
                lines.append(f"  {product} = mul i64 {many}, {length}")
                many = product
            strides = [load("i64", steps, 8 * each) for each in range(dimensions)]
            owned = ["0", "0", many, str(np.dtype(letter).itemsize), first]
            passed += [f"i64 {word}" for word in owned + shape + strides]
    types = ", ".join(each.split()[0] for each in passed)
    body = "\n".join(lines)
    return (
        f'declare i32 @"{symbol}"({types})\n'
        f"define i32 @{DOOR}(ptr %result, ptr %error, ptr %words) {{\n{body}\n"
        f'  %failed = call i32 @"{symbol}"({", ".join(passed)})\n  ret i32 %failed\n}}\n'
    )


class Native:
    """Machine code that can be called."""

    def __init__(self, engine: Any, code: Code, kinds: tuple[Kind, ...]) -> None:
        self._engine = engine  # whose memory the code is in
        prototype = ctypes.CFUNCTYPE(ctypes.c_int32, ctypes.c_void_p, ctypes.c_void_p, ctypes.c_char_p)
        self._call = prototype(engine.get_function_address(DOOR))
        self._symbol, self._is_tuple = code.symbol, code.is_tuple
        self._result = struct.Struct("@" + code.returns)
        self._room = ctypes.c_char * (self._result.size + 8)
        self._pack = struct.Struct("".join(_letter(kind) for kind in _flat(kinds))).pack

    def __call__(self, arguments: tuple[Any, ...]) -> Any:
        """Run it; other threads go on meanwhile.

        Raises
        ------
        RuntimeError
            It says that it failed, which no kernel does.
        """
        result, error = self._room(), ctypes.c_void_p()
        failed = self._call(ctypes.byref(result), ctypes.byref(error), self._pack(*_words(arguments)))
        if failed:
            raise RuntimeError(f"{self._symbol} ended with {failed}")
        found = self._result.unpack_from(result)
        if self._is_tuple:
            return found
        return found[0] if found else None


def _letter(kind: Kind) -> str:
    """The letter of a word."""
    return "d" if kind == "d" else "q"


def load(code: Code, kinds: tuple[Kind, ...]) -> Native:
    """Bring code into memory, to be called with arguments of these kinds."""
    _must_find_arrays()
    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()
    # An engine owns its machine, and what is in its module.
    machine = llvm.Target.from_default_triple().create_target_machine(jit=True, opt=0)
    engine = llvm.create_mcjit_compiler(llvm.parse_assembly(door_to(code.symbol, kinds)), machine)
    engine.add_object_file(llvm.ObjectFileRef.from_data(code.binary))
    engine.finalize_object()
    return Native(engine, code, kinds)


@lru_cache(maxsize=1)
def _must_find_arrays() -> None:
    """See that NumPy has what an array consists of where doors read it.

    Raises
    ------
    ImportError
        This NumPy has it elsewhere.
    """
    probe = np.zeros((5, 7, 3))[1:, ::2]
    word = ctypes.c_ssize_t.from_address

    def row(place: int) -> tuple[int, ...]:
        return tuple((ctypes.c_ssize_t * probe.ndim).from_address(word(id(probe) + place).value))

    found = word(id(probe) + DATA).value, row(LENGTHS), row(STEPS)
    if found != (probe.ctypes.data, probe.shape, probe.strides):
        raise ImportError(f"NumPy {np.__version__} lays out its arrays in a way that kernels do not know")


def file_of(folder: Path, name: str, kinds: tuple[Kind, ...]) -> Path:
    """The file for the code of a kernel and arguments of some kinds."""
    return folder / f"{name}-{sha256(repr(kinds).encode()).hexdigest()[:16]}.code"


def write(file: Path, code: Code) -> None:
    """Keep code, whole or not at all; where that cannot be it is compiled again the next time."""
    head = {"symbol": code.symbol, "returns": code.returns, "is_tuple": code.is_tuple}
    body = json.dumps(head).encode() + b"\n" + code.binary
    half = file.with_name(f".{file.name}.{secrets.token_hex(4)}")
    with suppress(OSError):
        try:
            half.write_bytes(sha256(body).hexdigest().encode() + b"\n" + body)
            os.replace(half, file)
        finally:
            half.unlink(missing_ok=True)


def read(file: Path) -> Code | None:
    """Code that was kept; None where there is none, or not as it was written."""
    try:
        mark, _, body = file.read_bytes().partition(b"\n")
    except OSError:
        return None
    if sha256(body).hexdigest().encode() != mark:
        return None
    head, _, binary = body.partition(b"\n")
    return Code(**json.loads(head), binary=binary)
