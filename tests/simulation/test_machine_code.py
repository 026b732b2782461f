"""A kernel as machine code gives what its function gives, whatever it takes, whether read again or new."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from time import perf_counter
from typing import Any

import numpy as np
import pytest
from numba.core.errors import NumbaError

from tappetry.simulation import compiled, end_lanes, machine_code, pipe_kernels
from tappetry.simulation.compiled import Kernel, kernel
from tappetry.simulation.compiling import compiled_code
from tappetry.simulation.machine_code import _must_find_arrays, file_of, kind_of, load, processor, read, write
from tappetry.simulation.volume_kernels import nozzle_flux

ESCAPING = (2e5, 300.0, 1.4, 287.0, 1e5)


def weighted(numbers: np.ndarray) -> float:
    total = 0.0
    for row in range(numbers.shape[0]):
        for column in range(numbers.shape[1]):
            total += (1.0 + 2.0 * row + 30.0 * column) * numbers[row, column]
    return total


def several(whole: int, real: float, truth: bool) -> tuple[int, float, bool]:
    return whole + 1, 2.0 * real, not truth


def nothing(numbers: np.ndarray) -> None:
    numbers[0] = 7.0


def larger(one: float, other: float) -> bool:
    return one > other


def within(both: tuple[np.ndarray, tuple[np.ndarray, float]], place: int) -> float:
    first, (second, share) = both
    return first[place] + share * second[place]


def spin(rounds: int) -> float:
    x = 1.0
    for number in range(rounds):
        x = x * 0.999999 + 1.0 / (number + 1.0)
    return x


TABLE = np.arange(24.0).reshape(4, 6)
LAYOUTS = {
    "in rows": TABLE,
    "in columns": np.asfortranarray(TABLE),
    "every second": TABLE[::2, 1::2],
    "backwards": TABLE[::-1],
    "turned": TABLE.T,
    "one row": TABLE[1:2],
    "none": TABLE[:0],
}


@pytest.fixture(scope="module")
def weigh() -> Callable[[np.ndarray], float]:
    return kernel(weighted)


@pytest.mark.parametrize("numbers", LAYOUTS.values(), ids=LAYOUTS.keys())
def test_an_array_may_lie_in_any_way(numbers: np.ndarray, weigh: Callable[[np.ndarray], float]) -> None:
    assert weigh(numbers) == weighted(numbers)


def test_an_array_that_is_only_to_be_read_is_read(weigh: Callable[[np.ndarray], float]) -> None:
    shut = TABLE.copy()
    shut.setflags(write=False)
    assert kind_of(shut) != kind_of(TABLE)
    assert weigh(shut) == weighted(TABLE)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (several, (3, 0.25, True)),
        (several, (np.int64(-3), np.float64(-0.25), False)),
        (larger, (2.0, 1.0)),
        (within, ((np.array([1.0, 2.0]), (np.array([10.0, 20.0]), 0.5)), 1)),
    ],
)
def test_it_takes_and_returns_what_the_function_does(
    function: Callable[..., Any], arguments: tuple[Any, ...]
) -> None:
    found = kernel(function)(*arguments)
    assert found == function(*arguments)
    assert {type(each) for each in np.ravel(np.array(found, dtype=object))} <= {int, float, bool}


def test_arrays_of_whole_numbers_and_of_three_dimensions_are_found() -> None:
    def picked(cube: np.ndarray, places: np.ndarray) -> float:
        return cube[places[0], places[1], places[2]] + 1000.0 * cube.shape[1] + places.size

    cube, places = np.arange(420.0).reshape(4, 15, 7)[1:, ::3, 2:], np.array([2, -1, 1, 0])
    assert kernel(picked)(cube, places) == picked(cube, places)


def test_where_arrays_look_otherwise_it_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    _must_find_arrays.cache_clear()
    _must_find_arrays()
    _must_find_arrays.cache_clear()
    monkeypatch.setattr(machine_code, "STEPS", machine_code.LENGTHS)
    with pytest.raises(ImportError, match="lays out its arrays in a way that kernels do not know"):
        _must_find_arrays()


def test_it_may_return_nothing_and_write_into_an_array() -> None:
    numbers = np.zeros(3)
    kernel(nothing)(numbers)
    assert list(numbers) == [7.0, 0.0, 0.0]


@pytest.mark.parametrize("strange", [[1.0], "1", None, {"a": 1.0}])
def test_it_takes_nothing_else(strange: object) -> None:
    with pytest.raises(TypeError, match="a kernel takes arrays, numbers and tuples of them, not"):
        kind_of(strange)


def test_one_that_fails_is_told() -> None:
    def failing(x: float) -> float:
        if x < 0.0:
            raise ValueError("below 0")
        return x

    fails = kernel(failing)
    assert fails(1.0) == 1.0
    with pytest.raises(RuntimeError, match=r"failing.* ended with"):
        fails(-1.0)


def test_others_go_on_while_it_runs() -> None:
    turn = kernel(spin)
    turn(1)
    rounds = 20_000_000
    seen = 0
    with ThreadPoolExecutor(1) as pool:
        begun = perf_counter()
        running = pool.submit(turn, rounds)
        while not running.done():
            seen += 1
        taken = perf_counter() - begun
    assert running.result() == pytest.approx(turn(rounds), rel=0.0)
    assert seen > 100, f"this thread stood still for {taken:.2f} s"


def test_code_comes_and_goes() -> None:
    """What an engine owns is freed with it, once."""
    whole = nozzle_flux.function
    code = compiled_code(Kernel(whole, is_inlined=False), ESCAPING)
    for _ in range(40):
        native = load(code, tuple(kind_of(each) for each in ESCAPING))
        assert native(ESCAPING) == nozzle_flux(*ESCAPING)
        del native
        gc.collect()


def test_code_is_kept_and_read_again_without_what_compiles(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(compiled, "kept_folder", lambda: tmp_path)
    first = kernel(nozzle_flux.function)(*ESCAPING)
    (kept,) = tmp_path.glob("*.code")
    monkeypatch.setitem(sys.modules, "tappetry.simulation.compiling", None)
    assert kernel(nozzle_flux.function)(*ESCAPING) == first
    kept.unlink()
    with pytest.raises(ImportError):
        kernel(nozzle_flux.function)(*ESCAPING)


@pytest.mark.parametrize("place", [0, 70, 200, -1])
def test_code_that_is_not_as_it_was_written_is_compiled_anew(
    place: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(compiled, "kept_folder", lambda: tmp_path)
    first = kernel(nozzle_flux.function)(*ESCAPING)
    (kept,) = tmp_path.glob("*.code")
    whole = kept.read_bytes()
    torn = bytearray(whole)
    torn[place] ^= 0x10
    kept.write_bytes(torn)
    assert read(kept) is None
    assert kernel(nozzle_flux.function)(*ESCAPING) == first
    assert read(kept) is not None
    kept.write_bytes(whole[: len(whole) // 2])
    assert read(kept) is None


def test_kernels_of_one_name_are_kept_apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compiled, "kept_folder", lambda: tmp_path)
    ours = [kernel(each.rounded.function) for each in (end_lanes, pipe_kernels)]
    expected = [each.rounded.function(9) for each in (end_lanes, pipe_kernels)]
    for _ in range(2):
        assert [each(9) for each in ours] == expected
        ours = [kernel(each.rounded.function) for each in (end_lanes, pipe_kernels)]
    assert len({file.name.partition("-")[0] for file in tmp_path.glob("*.code")}) == 2


def test_numbers_that_another_processor_wrote_are_not_taken_for_ours(
    weigh: Callable[[np.ndarray], float],
) -> None:
    turned = TABLE.astype(">f8" if sys.byteorder == "little" else "<f8")
    with pytest.raises(NumbaError):
        weigh(turned)


def test_a_kernel_of_another_folder_is_not_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The folder is named after the text of those that belong to the program, and of no other."""
    monkeypatch.setattr(compiled, "kept_folder", lambda: tmp_path)
    assert kernel(larger)(1.0, 2.0) is False
    assert list(tmp_path.glob("*.code")) == []


def test_where_nothing_can_be_written_it_works_all_the_same(tmp_path: Path) -> None:
    code = compiled_code(Kernel(larger, is_inlined=False), (1.0, 2.0))
    file = file_of(tmp_path / "not there", "larger", ("d", "d"))
    write(file, code)
    assert read(file) is None


def test_what_is_compiled_for_one_processor_is_not_taken_for_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = compiled.kept_in(tmp_path, compiled.SOURCES)
    monkeypatch.setattr(compiled, "processor", lambda: processor() + ",+more")
    assert compiled.kept_in(tmp_path, compiled.SOURCES) != here
