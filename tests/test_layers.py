"""The house's order: every room imports only rooms below it, as the contracts in pyproject.toml say."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from importlinter.cli import lint_imports

ROOT = Path(__file__).resolve().parents[1]
CONTRACTS = ROOT / "pyproject.toml"
ROOMS = ROOT / "src" / "tappetry"

CONTRACT_OF_A_LITTLE_HOUSE = """
[tool.importlinter]
root_packages = ["{house}"]

[[tool.importlinter.contracts]]
name = "rooms"
type = "layers"
containers = ["{house}"]
exhaustive = true
layers = ["(loft)", "(cellar)"]
"""


@pytest.fixture(autouse=True)
def _loggers_stay_as_they_are(monkeypatch: pytest.MonkeyPatch) -> None:
    """The linter would silence every logger that is there, for all tests after these."""
    monkeypatch.setattr("logging.config.dictConfig", lambda config: None)


def house_of(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, modules: dict[str, str]) -> Path:
    """Build a little package and the contract `loft above cellar` for it; return the contract's file."""
    (tmp_path / name).mkdir()
    (tmp_path / name / "__init__.py").touch()
    for module, text in modules.items():
        (tmp_path / name / f"{module}.py").write_text(text)
    monkeypatch.syspath_prepend(tmp_path)
    contract = tmp_path / "contract.toml"
    contract.write_text(CONTRACT_OF_A_LITTLE_HOUSE.format(house=name))
    return contract


def broken(contract: Path) -> bool:
    """Whether the contracts of a file are broken by the package they speak of."""
    return lint_imports(config_filenames=(str(contract),), no_cache=True, no_logo=True) != 0


def test_every_room_imports_only_rooms_below_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert not broken(CONTRACTS), capsys.readouterr().out


def test_contract_on_the_checker_finds_the_checker() -> None:
    kitting = ROOMS / "kitting"
    if not kitting.is_dir():
        pytest.skip("the room kitting is not built yet")
    assert (kitting / "checker.py").is_file() or (kitting / "checker" / "__init__.py").is_file(), (
        "tappetry.kitting.checker is gone: the contract 'checker' in pyproject.toml guards nothing"
    )


def test_an_import_upwards_breaks_a_contract(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sound = {"loft": "import house_a.cellar", "cellar": ""}
    assert not broken(house_of(tmp_path, monkeypatch, "house_a", sound))
    assert "house_a" not in sys.modules, "contracts read the source and run nothing"
    (tmp_path / "house_a" / "cellar.py").write_text("import house_a.loft")
    (tmp_path / "house_a" / "loft.py").write_text("")
    assert broken(tmp_path / "contract.toml")


def test_a_room_outside_the_list_breaks_a_contract(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rooms = {"loft": "", "cellar": "", "shed": ""}
    assert broken(house_of(tmp_path, monkeypatch, "house_b", rooms))
