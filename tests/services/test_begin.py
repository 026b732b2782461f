"""A new shop: whole, sound and able to quote, or not there at all."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from tappetry.jobs.reader import read_job_data
from tappetry.presentation.papers import quote_of
from tappetry.presentation.quote import quote_data
from tappetry.records.problems import BadInput, Refusal
from tappetry.records.verdict import Verdict
from tappetry.services import begin as beginning
from tappetry.services.audits import audit_folder
from tappetry.services.begin import BOOK, ENTRIES, STAGE, begin, begin_demo, demo_place, template, templates
from tappetry.services.choices import choices
from tappetry.services.kits import KitResult, identify_job, kit_for_job, must_be_complete
from tappetry.services.shop import Shop, first_shop_folder, open_shop

SAID = {
    "name": "Quill Engines",
    "place": "Nether Quill",
    "currency": "EUR",
    "labour_rate": "95.00",
    "tax_parts": "19",
    "tax_services": "19",
    "tax_labour": "19",
    "tax_supplies": "19",
}


def inside(place: Path) -> dict[str, bytes]:
    """Every file of a folder with its content."""
    return {
        each.relative_to(place).as_posix(): each.read_bytes() for each in place.rglob("*") if each.is_file()
    }


def complaints(place: Path, files: dict[str, bytes] | None = None, **said: str) -> list[str]:
    """What is said of a start that has to fail."""
    with pytest.raises(BadInput) as caught:
        begin(place, {**SAID, **said}, files or {})
    return [str(each) for each in caught.value.complaints]


def first_job(mileage: str = "128000 km") -> dict[str, Any]:
    """A first job, as its file holds it: a van whose camshaft is changed."""
    return {
        "job": "Q-1",
        "date": "2026-03-02",
        "place": SAID["place"],
        "facts": {
            "application": {"value": "FE-V", "grade": "decoded", "source": "papers"},
            "mileage": {"value": mileage, "grade": "seen", "source": "odometer"},
            "oil-metal": {"value": "no", "grade": "seen", "source": "filter cut open"},
        },
        "plan": {"cam": "T1"},
    }


def kit_of(shop: Shop, mileage: str = "128000 km") -> KitResult:
    """The kit of the first job."""
    return kit_for_job(shop, read_job_data(first_job(mileage), shop.knowledge, "the job"))


def test_the_templates_are_sound_as_they_stand() -> None:
    assert audit_folder(first_shop_folder()) == ()
    assert {"family.yaml", "parts.csv", "needs.yaml"} <= set(templates())
    assert BOOK not in templates()


def test_every_entry_of_the_book_is_written_and_read_back_as_it_was_said(tmp_path: Path) -> None:
    said = {
        **SAID,
        "name": 'Quill & "Sons": no 1\\2',
        "phone": "0 555 # 7",
        "units": "inch",
        "paper": "Letter",
        "quote_days": "21",
        "supplies_cap": "12.50",
    }
    shop = begin(tmp_path / "shop", said, {}).shop
    book = shop.knowledge.book
    kept = {**book.shop, **book.money, **{f"tax_{name}": rate for name, rate in book.money["tax"].items()}}
    assert {each.name: str(kept[each.name]) for each in ENTRIES} == {
        **{each.name: each.usual for each in ENTRIES},
        "address": SAID["place"],
        **said,
    }


def test_the_remarks_of_the_templates_stay(tmp_path: Path) -> None:
    shop = begin(tmp_path, SAID, {}).shop
    text = (shop.folder / BOOK).read_text(encoding="utf-8")
    shipped = (first_shop_folder() / BOOK).read_text(encoding="utf-8")
    remarks = [line.partition(" #")[2] for line in shipped.splitlines()[1:] if " #" in line]
    assert len(remarks) > 5
    assert [line.partition(" #")[2] for line in text.splitlines()[1:] if " #" in line] == remarks


def test_a_new_shop_quotes_its_first_job_to_the_cent(tmp_path: Path) -> None:
    """Parts by the list; 12.0 h by the book; supplies 3 % of labour; 19 % tax on all of it."""
    shop = begin(tmp_path / "shop", SAID, {}).shop
    result = kit_of(shop)
    assert {line.part: line.quantity for line in result.kit.lines} == {
        "TN-C1": 1,
        "TN-L8": 1,
        "TN-S44": 1,
        "TN-D1": 1,
        "TN-G1": 1,
        "TN-G2": 1,
        "TN-O1": 4,
    }
    parts = Decimal("239") + 78 + 69 + 32 + 22 + 9 + 4 * Decimal("9.90")
    labour = Decimal("95") * 12
    taxed = (parts + labour + labour * 3 / 100) * Decimal("1.19")
    assert result.kit.totals is not None
    assert result.kit.totals.total == taxed.quantize(Decimal("0.01"))
    must_be_complete(shop, result)


def test_rules_of_the_first_family_bite(tmp_path: Path) -> None:
    """The production springs are cheaper and go nearly solid; below 100,000 km the chain stays."""
    shop = begin(tmp_path / "shop", SAID, {}).shop
    kit = kit_of(shop, "60000 km").kit
    bought = {line.part for line in kit.lines}
    assert "TN-D1" not in bought
    assert "TN-S44" in bought
    solid = next(proof for proof in kit.proofs if proof.id == "spring-not-solid")
    assert solid.value == pytest.approx(40.0 - 25.0 - (0.300 * 1.5 - 0.016) * 25.4)


def springs_alone(shop: Shop, *known: tuple[str, str]) -> KitResult:
    """The kit of a van that gets springs and keeps its camshaft, with what is known of it."""
    told = first_job()
    told["facts"] = {
        **told["facts"],
        **{n: {"value": v, "grade": "seen", "source": "dial"} for n, v in known},
    }
    del told["facts"]["mileage"]
    return kit_for_job(
        shop, read_job_data({**told, "plan": {"work": ["springs"]}}, shop.knowledge, "the job")
    )


def test_springs_where_the_camshaft_stays_are_proved_on_it_and_priced_to_the_cent(tmp_path: Path) -> None:
    """Springs and a gasket; 1.0 h to look, 1.8 h for the top, 2.2 h for springs, 0.5 h to run it."""
    shop = begin(tmp_path / "shop", SAID, {}).shop
    result = springs_alone(shop, ("cam-grind", "FFE"))
    must_be_complete(shop, result)
    kit = result.kit
    assert {line.part: line.quantity for line in kit.lines} == {"TN-S44": 1, "TN-G2": 1}
    assert kit.allowances == ()
    supplies = Decimal("15.68")  # 3 % of labour
    parts, labour = Decimal(69) + 9, Decimal(95) * Decimal("5.5")
    taxes = Decimal("14.82") + Decimal("99.28") + Decimal("2.98")
    assert kit.totals is not None
    assert kit.totals.total == parts + labour + supplies + taxes
    assert [each["places"] for each in shop.knowledge.legal] == [[SAID["place"]]] * 2
    assert kit.legal_note.startswith("This is a repair")
    solid = next(proof for proof in kit.proofs if proof.id == "spring-not-solid")
    assert solid.value == pytest.approx(40.0 - 25.0 - (0.262 * 1.5 - 0.014) * 25.4)
    other = springs_alone(shop, ("cam-grind", "T1")).kit
    solid = next(proof for proof in other.proofs if proof.id == "spring-not-solid")
    assert solid.value == pytest.approx(40.0 - 25.0 - (0.300 * 1.5 - 0.016) * 25.4)


def test_where_the_camshaft_stays_it_has_to_be_known_which_one_it_is(tmp_path: Path) -> None:
    shop = begin(tmp_path / "shop", SAID, {}).shop
    with pytest.raises(Refusal, match="it is not known which one stands in the engine"):
        springs_alone(shop, ("cam-grind", "T9"))
    unseen = springs_alone(shop)
    (finding,) = [each for each in unseen.kit.findings if each.id == "camshaft-looked-at"]
    assert finding.verdict is Verdict.SIGN
    with pytest.raises(Refusal, match="nobody has looked which one it is"):
        must_be_complete(shop, unseen)


# ---- a start that fails changes nothing -------------------------------------------------------------------


def test_missing_answers_are_all_told_at_once(tmp_path: Path) -> None:
    place = tmp_path / "deep" / "shop"
    with pytest.raises(BadInput) as caught:
        begin(place, {}, {})
    assert [each.where.field for each in caught.value.complaints] == list(beginning.WANTED)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("currency", "EURO", "shop.yaml:14, money.currency: it is not written as it should be"),
        (
            "tax_labour",
            "190",
            "shop.yaml:20, money.tax.labour: the percent is not sound (read: 190); expected 0 to",
        ),
        ("labour_rate", "9,50", "shop.yaml:15, money.labour_rate: the figure cannot be read (read: 9,50)"),
        (
            "quote_days",
            "0",
            "shop.yaml, quote_days: the number of days cannot be read (read: 0); expected 1 to 365",
        ),
        (
            "units",
            "cubits",
            "shop.yaml, units: there is no such choice (read: cubits); expected metric or inch",
        ),
        ("name", "x" * 201, "shop.yaml, name: the answer cannot stand on a paper"),
        ("osprey", "1", "shop.yaml, osprey: nobody asks for this (read: osprey)"),
    ],
)
def test_an_answer_that_cannot_stand_is_told_and_nothing_is_written(
    tmp_path: Path, name: str, text: str, told: str
) -> None:
    place = tmp_path / "shop"
    (said,) = complaints(place, **{name: text})
    assert said.startswith(told)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("name", "old", "new", "told"),
    [
        (
            "family.yaml",
            "  cylinders: 4",
            "  cylindres: 4",
            "families/first/family.yaml:11, attributes.cylindres",
        ),
        ("parts.csv", ",168.00,", ",168;00,", "parts.csv:2, cost: "),
        (
            "parts.csv",
            "TN-C1,TNV",
            "TN-C1,TNW",
            "parts.csv:2, supplier: there is no such supplier (read: TNW); did you mean TNV?",
        ),
        ("needs.yaml", "camshaft.grind", "camshaft.grnd", "needs/needs.yaml:"),
    ],
)
def test_a_mistake_in_a_file_is_told_by_file_and_line_and_nothing_is_written(
    tmp_path: Path, name: str, old: str, new: str, told: str
) -> None:
    place = tmp_path / "shop"
    place.mkdir()
    text = template(name).decode()
    assert text.count(old) == 1
    said = complaints(place, {name: text.replace(old, new).encode()})
    assert any(each.startswith(told) for each in said), said
    assert inside(tmp_path) == {}
    assert place.is_dir()


def test_what_is_no_text_or_no_template_is_refused(tmp_path: Path) -> None:
    place = tmp_path / "shop"
    assert "there is no such template (read: letter.yaml)" in complaints(place, {"letter.yaml": b"a: 1"})[0]
    assert "expected a text in UTF-8" in complaints(place, {"parts.csv": b"\xff\xd8\xff\x00"})[0]
    assert "the parts.csv is too large" in complaints(place, {"parts.csv": b"x" * 1_500_001})[0]
    assert not place.exists()


def test_a_folder_that_holds_anything_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "letters.txt").write_text("dear", encoding="utf-8")
    (said,) = complaints(tmp_path)
    assert "the folder holds something else; it is left alone (read: letters.txt)" in said
    assert inside(tmp_path) == {"letters.txt": b"dear"}


def test_a_shop_is_never_begun_over_another(tmp_path: Path) -> None:
    begin(tmp_path, SAID, {})
    before = inside(tmp_path)
    assert "there is a shop already" in complaints(tmp_path, name="Other")[0]
    assert inside(tmp_path) == before


def test_what_comes_into_the_folder_meanwhile_is_left_and_the_start_taken_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sound = beginning._sound

    def slow(stage: Path) -> tuple[str, ...]:
        (tmp_path / "parts.csv").write_text("mine", encoding="utf-8")
        return sound(stage)

    monkeypatch.setattr(beginning, "_sound", slow)
    assert "something else has come there meanwhile" in complaints(tmp_path)[0]
    assert inside(tmp_path) == {"parts.csv": b"mine"}


def test_a_start_that_was_cut_off_is_cleared_away_by_the_next(tmp_path: Path) -> None:
    (tmp_path / STAGE).mkdir()
    (tmp_path / STAGE / BOOK).write_text("half", encoding="utf-8")
    (tmp_path / "needs").mkdir()
    assert begin(tmp_path, SAID, {}).shop.knowledge.book.shop["name"] == SAID["name"]
    assert not (tmp_path / STAGE).exists()


def test_a_file_that_was_changed_is_taken_in_its_place(tmp_path: Path) -> None:
    text = template("parts.csv").decode().replace(",239.00,", ",244.00,").encode()
    shop = begin(tmp_path, SAID, {"parts.csv": text}).shop
    part = open_shop(tmp_path).catalogue.numbered("TN-C1")[0]
    assert part.price == Decimal("244.00")
    assert (shop.folder / "parts.csv").read_bytes() == text


def test_a_need_without_a_part_is_told_and_does_not_stop_the_start(tmp_path: Path) -> None:
    text = "".join(line for line in template("parts.csv").decode().splitlines(True) if "TN-G2" not in line)
    told = begin(tmp_path, SAID, {"parts.csv": text.encode()}).told
    assert len(told) == 1
    assert told[0].startswith("no-part: needs/needs.yaml")


# ---- the invented shop beside ------------------------------------------------------------------------------


def test_the_invented_shop_is_put_beside_and_kept_as_it_was_left(tmp_path: Path) -> None:
    own = tmp_path / "own"
    shop = begin_demo(own)
    assert shop.folder == demo_place(own) == tmp_path / "own-demo"
    (shop.folder / "jobs" / "J3.yaml").unlink()
    assert not (begin_demo(own).folder / "jobs" / "J3.yaml").exists()
    assert not own.exists()


def test_the_invented_shop_is_not_put_over_something_else(tmp_path: Path) -> None:
    beside = tmp_path / "own-demo"
    begin(beside, SAID, {})
    before = inside(beside)
    with pytest.raises(BadInput, match="the folder holds something else; it is left alone"):
        begin_demo(tmp_path / "own")
    assert inside(beside) == before


def test_what_is_not_said_and_not_read_stands_on_no_paper(tmp_path: Path) -> None:
    """No telephone was said; the text of the templates asks for nothing where the heads come off."""
    shop = begin(tmp_path / "shop", SAID, {}).shop
    result = kit_of(shop)
    assert result.job.plan.heads == "off"
    paper = quote_data(quote_of(shop, result, result.job.date))
    assert paper["plan"] == ["A new camshaft, grind T1, for daily driving."]
    assert paper["shop"]["lines"] == [SAID["place"]]
    found = choices(shop, result.job, identify_job(shop, result.job))
    assert [each.field for each in found] == ["use"]
