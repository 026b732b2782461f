"""Every way to fail: exit code, message, and where a fault of ours is saved."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tappetry.records.problems import OurFault
from tappetry.services.shop import Shop
from tests.cli.calling import call, refused


def written(tmp_path: Path, text: str) -> Path:
    file = tmp_path / "job.yaml"
    file.write_text(text, encoding="utf-8")
    return file


def test_a_missing_file(shop: Shop, tmp_path: Path) -> None:
    code, error = refused("kit", tmp_path / "nothing.yaml")
    assert code == 3
    assert error["kind"] == "bad-input"
    assert error["where"] == "nothing.yaml"
    assert error["message"] == "nothing.yaml: the file does not exist (read: nothing.yaml)"


def test_a_file_name_that_the_system_refuses(shop: Shop, tmp_path: Path) -> None:
    long = tmp_path / ("a" * 300)
    code, error = refused("kit", long)
    assert code == 3
    assert error["where"] == str(long)
    assert "the file cannot be used: File name too long" in error["message"]


def test_text_that_is_not_yaml(shop: Shop, tmp_path: Path) -> None:
    code, error = refused("kit", written(tmp_path, 'job: "X"\nfacts: [1\nplan: }'))
    assert code == 3
    assert error["where"] == "job.yaml:3"
    assert error["message"].startswith("job.yaml:3: the text is not YAML: ")


def test_a_job_without_its_parts_is_told_all_at_once(shop: Shop, tmp_path: Path) -> None:
    code, error = refused("kit", written(tmp_path, "job: X\n"))
    assert code == 3
    assert [each["message"] for each in error["complaints"]] == [
        '"date" is a required property',
        '"facts" is a required property',
        '"plan" is a required property',
    ]
    assert {each["where"] for each in error["complaints"]} == {"job.yaml:1"}


def test_a_folder_without_a_shop(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("TAPPETRY_HOME", str(tmp_path))
    code, error = refused("kit", "a.yaml")
    assert code == 3
    assert error["where"] == str(tmp_path)
    assert "the folder holds no shop" in error["message"]


@pytest.mark.slow
def test_a_budget_too_small_is_a_refusal_with_the_arithmetic(shop: Shop, job: Path, tmp_path: Path) -> None:
    file = written(tmp_path, job.read_text(encoding="utf-8") + '  budget: "100.00"\n')
    total = call("kit", job, "--json").data["totals"]["total"]
    code, error = refused("kit", file)
    assert code == 2
    assert error["kind"] == "refused"
    assert error["message"] == "The kit of job J1 costs more than the budget."
    assert error["facts"] == [{"text": "the customer's budget is 100.00", "owner": "customer", "source": ""}]
    assert error["arithmetic"].startswith(f"{total} - 100.00 = ")
    assert error["ways_out"]
    said = call("kit", file)
    assert said.code == 2
    assert said.out == ""
    assert "the customer's budget is 100.00" in said.words
    assert "Any one of these gives a kit:" in said.words


def test_a_fault_of_ours_is_saved_and_shows_no_trace(
    shop: Shop, job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise ZeroDivisionError("the wheel came off")

    monkeypatch.setattr("tappetry.services.kits.kit_for_file", fail)
    code, error = refused("kit", job)
    assert code == 70
    assert error["kind"] == "our-fault"
    assert error["message"] == "ZeroDivisionError: the wheel came off"
    file = Path(error["where"])
    assert file.parent == shop.folder / "problems"
    saved = json.loads(file.read_text(encoding="utf-8"))
    assert saved["command"] == ["kit", str(job), "--json"]
    assert saved["files"] == {str(job): job.read_text(encoding="utf-8")}
    assert saved["kind"] == "ZeroDivisionError"
    assert any("the wheel came off" in line for line in saved["trace"])
    said = call("kit", job)
    assert said.code == 70
    assert "Traceback" not in said.words
    assert "a fault of the program, not of yours: ZeroDivisionError: the wheel came off" in said.err
    assert str(shop.folder / "problems") in said.err


def test_the_details_of_a_fault_are_saved(shop: Shop, job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise OurFault("the kit did not pass", {"job": "J1", "lines": ["1 x A"]})

    monkeypatch.setattr("tappetry.services.kits.kit_for_file", fail)
    code, error = refused("prove", job)
    assert code == 70
    assert error["message"] == "the kit did not pass"
    saved = json.loads(Path(error["where"]).read_text(encoding="utf-8"))
    assert saved["details"] == {"job": "J1", "lines": ["1 x A"]}


def test_a_problem_finds_another_place_when_the_shop_cannot_be_written(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def fail(*_: object) -> None:
        raise RuntimeError("no")

    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("TAPPETRY_HOME", str(tmp_path / "file"))
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "elsewhere"))
    monkeypatch.setattr("tappetry.cli.schema.run", fail)
    code, error = refused("schema", "job")
    assert code == 70
    assert Path(error["where"]).parent == tmp_path / "elsewhere"
    assert Path(error["where"]).is_file()


@pytest.mark.slow
@pytest.mark.parametrize("words", [["calc", "--list"], ["calc", "--list", "--json"]])
def test_a_reader_that_has_read_enough_is_no_fault(words: list[str]) -> None:
    """As in ``tappetry calc --list | head -1``: the pipe is closed before the answer is whole."""
    program = f"import sys; from tappetry.cli import main; sys.exit(main({words!r}))"
    with subprocess.Popen(
        [sys.executable, "-c", program], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as running:
        assert running.stdout is not None
        running.stdout.close()
        assert running.stderr is not None
        assert running.stderr.read() == ""
    assert running.returncode == 0
