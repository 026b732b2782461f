"""A shop's folder that cannot be read: one clear complaint, whatever is wrong with it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tappetry.knowledge.engines import load_engines
from tappetry.knowledge.loader import fingerprint, load
from tappetry.records.problems import BadInput, Complaint, Where
from tappetry.services.shop import demo_folder
from tests.knowledge.shops import copy_of_demo, line_of, plant, plant_probe, replant

FILES = sorted(
    p.relative_to(demo_folder()).as_posix()
    for p in demo_folder().glob("*.yaml")
    if p.name not in {"suppliers.yaml", "vehicles.yaml"}
)


def complaint(folder: Path) -> Complaint:
    """The one complaint about a folder."""
    with pytest.raises(BadInput) as error:
        load(folder)
    (only,) = error.value.complaints
    return only


def test_the_demo_is_read_whole() -> None:
    knowledge = load(demo_folder())
    assert len(knowledge.needs) > 100
    assert len(knowledge.families) == 3
    assert set(knowledge.book.packages) == {"least", "standard", "best"}
    assert all(need.file and need.line for need in knowledge.needs.values())


def test_engines_alone_are_those_of_the_whole(tmp_path: Path) -> None:
    alone, whole = load_engines(demo_folder()), load(demo_folder())
    assert alone.families == whole.families
    assert alone.tables == whole.tables
    (tmp_path / "attributes.yaml").write_text("- id: 7", encoding="utf-8")
    with pytest.raises(BadInput, match=r"attributes\.yaml"):
        load_engines(tmp_path)


def test_the_same_text_has_the_same_version(tmp_path: Path) -> None:
    folder = copy_of_demo(tmp_path)
    before = fingerprint(folder)
    assert before == fingerprint(demo_folder())
    (folder / "jobs" / "J9.yaml").write_text("job: J9\n", encoding="utf-8")
    assert fingerprint(folder) == before, "a job is no knowledge"
    (folder / "rules.yaml").write_text("rules: []\ngates: []\n", encoding="utf-8")
    assert fingerprint(folder) != before


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    found = complaint(tmp_path / "no-shop")
    assert found.where == Where(str(tmp_path / "no-shop"))
    assert (found.message, found.value) == ("there is no such folder of knowledge", "no-shop")


@pytest.mark.parametrize("file", FILES)
def test_a_file_that_is_missing(tmp_path: Path, file: str) -> None:
    folder = copy_of_demo(tmp_path)
    (folder / file).unlink()
    assert complaint(folder) == Complaint(Where(file), "the file does not exist", file)


@pytest.mark.parametrize("file", FILES)
def test_a_file_that_is_no_text(tmp_path: Path, file: str) -> None:
    folder = copy_of_demo(tmp_path)
    (folder / file).write_bytes(b"- id: caf\xe9\n")
    assert complaint(folder) == Complaint(
        Where(file), "the file is not UTF-8 text", "byte 9", "a text saved as UTF-8"
    )


@pytest.mark.parametrize("file", FILES)
def test_a_file_that_is_not_yaml(tmp_path: Path, file: str) -> None:
    folder = copy_of_demo(tmp_path)
    (folder / file).write_text("a: [1, 2\nb: 3\n", encoding="utf-8")
    found = complaint(folder)
    assert found.where == Where(file, 2)
    assert found.message == "the text is not YAML: did not find expected ',' or ']'"


@pytest.mark.parametrize(
    ("file", "text", "key"),
    [
        ("quantities.yaml", "- {id: lift_in, title: again, is: 1}", "lift_in"),
        (
            "proofs.yaml",
            "- {id: seat-load, title: again, value: 1, at_least: 0, unit: lb, severity: NOTE, source: shop, "
            "why: a}",
            "seat-load",
        ),
        ("operations.yaml", "- {code: OP10, what: again, hours: 1, when: true}", "OP10"),
        (
            "notes.yaml",
            "- {id: targets, to: bench, need: calibration, says: again, why: a, source: shop}",
            "targets",
        ),
    ],
)
def test_a_name_that_stands_twice(tmp_path: Path, file: str, text: str, key: str) -> None:
    planted = plant(tmp_path, file, text)
    found = complaint(planted.folder)
    assert (found.where.file, found.where.line) == (file, planted.line)
    assert (found.message, found.value, found.expected) == ("the name stands twice", key, "each name once")


def test_a_note_with_a_need_that_does_not_exist(tmp_path: Path) -> None:
    text = "- {id: probe, to: bench, need: calibraton, says: probe, why: a, source: shop}"
    planted = plant(tmp_path, "notes.yaml", text)
    found = complaint(planted.folder)
    assert (found.where.file, found.where.line) == ("notes.yaml", planted.line)
    assert (found.message, found.value) == ("there is no such need", "calibraton")


def test_a_proof_of_something_that_nobody_measures(tmp_path: Path) -> None:
    text = (
        "- {id: probe, title: probe, stage: bench, measured: [bore, boar], value: engine.bore_mm, "
        "at_least: 0, unit: mm, severity: NOTE, source: shop, why: a}"
    )
    planted = plant(tmp_path, "proofs.yaml", text)
    found = complaint(planted.folder)
    assert (found.where.file, found.where.line) == ("proofs.yaml", planted.line)
    assert (found.message, found.value) == ("nothing of this name can be measured", "boar")


def test_a_need_that_stands_in_two_files(tmp_path: Path) -> None:
    planted = plant(
        tmp_path,
        "needs/9-more.yaml",
        "- {id: camshaft, title: again, group: Services, source: shop}\n",
        "id: camshaft",
    )
    found = complaint(planted.folder)
    assert found.where == Where("needs/9-more.yaml", 1, "[0]")
    assert (found.message, found.value) == ("the name stands twice", "camshaft")


@pytest.mark.parametrize(
    ("when", "message"),
    [
        ("plan.heads ==", "the condition cannot be read: "),
        ("true" + " || true" * 300, "the condition is 2404 characters long"),
        ("[1].all(a, [1].all(b, [1].all(c, true)))", "the condition has 3 loops"),
        (" ", "a condition is wanted"),
    ],
)
def test_a_condition_that_cannot_be_compiled(tmp_path: Path, when: str, message: str) -> None:
    planted = plant_probe(tmp_path, f'  when: "{when}"\n', "  when:")
    found = complaint(planted.folder)
    assert found.where == Where(planted.file, planted.line, "[0].when")
    assert found.message.startswith(message)


def test_a_key_that_is_not_known(tmp_path: Path) -> None:
    planted = plant_probe(tmp_path, "  renwe: true\n", "- id: probe")
    found = complaint(planted.folder)
    assert found.where == Where(planted.file, planted.line, "[0]")
    assert found.message == "Additional properties are not allowed ('renwe' was unexpected)"


def test_a_default_package_that_does_not_exist(tmp_path: Path) -> None:
    planted = replant(tmp_path, "shop.yaml", "  default: standard\n", "  default: standrad\n")
    found = complaint(planted.folder)
    assert found.where == Where("shop.yaml", planted.line, "packages.default")
    assert (found.message, found.value, found.expected) == (
        "no such package",
        "standrad",
        "least or standard or best",
    )


def test_an_attribute_that_stands_twice(tmp_path: Path) -> None:
    planted = plant(tmp_path, "attributes.yaml", "- {id: bore, title: again, type: count}")
    found = complaint(planted.folder)
    assert (found.where.file, found.where.line) == ("attributes.yaml", planted.line)
    assert (found.message, found.value, found.expected) == (
        "the attribute stands twice",
        "bore",
        "each id once",
    )


def test_a_family_that_stands_twice(tmp_path: Path) -> None:
    folder = copy_of_demo(tmp_path)
    text = (folder / "families/brindle/family.yaml").read_text(encoding="utf-8")
    (folder / "families/zz").mkdir()
    (folder / "families/zz/family.yaml").write_text(text, encoding="utf-8")
    found = complaint(folder)
    assert found.where.file == "families/zz/family.yaml"
    assert (found.message, found.value) == ("the family stands twice", "BR")
    assert line_of(folder / "families/zz/family.yaml", "id: BR") >= 1


@pytest.mark.parametrize("when", ["engine.mileage_km / 0 > 1", "1 / (plan.rpm - plan.rpm) > 1"])
def test_a_condition_that_divides_by_zero_is_told_when_it_is_evaluated(tmp_path: Path, when: str) -> None:
    planted = plant_probe(tmp_path, f'  when: "{when}"\n')
    need = load(planted.folder).needs["probe"]
    with pytest.raises(BadInput) as error:
        need.when.evaluate({"engine": {"mileage_km": 1.0}, "plan": {"rpm": 6000.0}})
    assert error.value.complaints == [
        Complaint(
            Where(planted.file, planted.line, "[0].when"),
            "the condition fails: division by zero",
            when,
        )
    ]
