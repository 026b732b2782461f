"""A shop's own text on either database: written, looked through, put into effect, kept, gone back to."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from tappetry.jobs.reader import read_job_data, read_job_text
from tappetry.knowledge.audit import AuditFinding
from tappetry.knowledge.breathing import FILE as BREATHING
from tappetry.knowledge.breathing import read_breathing
from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.records.problems import BadInput, Refusal
from tappetry.services import people, privacy, text_check, text_in_effect, text_writing, texts
from tappetry.services.kits import kit_for_job
from tappetry.services.ledger import Ledger
from tappetry.services.queue import FAILED
from tappetry.services.reprice import kit_from_data
from tappetry.services.shop import Shop
from tappetry.services.text_check import effect
from tappetry.services.text_files import KEPT, lay_down, read_files, typed, whole_mark, written
from tappetry.services.text_in_effect import START
from tappetry.services.text_proposal import outside, proposal
from tappetry.store import texts as store
from tappetry.store.database import Database
from tappetry.store.dump import lines
from tappetry.store.problems import ChangedMeanwhile, NotKept
from tests.services.texts import (
    BOOK,
    NOTES,
    PARTS,
    RULES,
    change,
    shop_of,
    taken_up,
    text_of,
    worker_of,
    write,
)
from tests.services.till import agreed

pytestmark = pytest.mark.slow

#: What audits found in equal texts, so that each is made once for all tests.
AUDITS: dict[str, tuple[AuditFinding, ...]] = {}
RATE, OTHER_RATE = 'labour_rate: "118.00"', 'labour_rate: "121.00"'
OWN_FILE = "own-remarks.yaml"


@pytest.fixture(autouse=True)
def _audited_once(monkeypatch: pytest.MonkeyPatch) -> None:
    audit = text_check.audit_folder

    def remembered(folder: Path) -> tuple[AuditFinding, ...]:
        mark = whole_mark(read_files(folder))
        if mark not in AUDITS:
            AUDITS[mark] = audit(folder)
        return AUDITS[mark]

    monkeypatch.setattr(text_check, "audit_folder", remembered)


@pytest.fixture
def ledger(tmp_path: Path, database: Database) -> Ledger:
    """The invented shop in a folder of its own, whose app has started."""
    return taken_up(shop_of(tmp_path), database)


def notes(folder: Path) -> list[Path]:
    return list((folder / KEPT).glob("to-write*"))


def rate_of(ledger: Ledger) -> str:
    return str(ledger.shop.knowledge.book.money["labour_rate"])


def edit(ledger: Ledger, path: str, old: str, new: str) -> None:
    """Change a file outside of the app."""
    file = ledger.shop.folder / path
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")


def looked(ledger: Ledger) -> texts.Checked:
    """The proposed text, looked through."""
    texts.ask_look(ledger, "Wren")
    worker = worker_of(ledger)
    while worker.work_once():
        pass
    found = texts.look(ledger, proposal(ledger)).found
    assert found is not None, texts.look(ledger, proposal(ledger)).standing.failed
    return found


def put(ledger: Ledger, why: str = "wages rose", who: str = "Wren") -> int:
    return texts.put_into_effect(ledger, proposal(ledger).mark, why, who)


def take_effect_after(ledger: Ledger, number: int, files: dict[str, bytes]) -> None:
    """Let a text take effect as another server would, after a version."""
    marks = store.Marks(whole_mark(files), "knowledge", "catalogue")
    with ledger.database.writing() as session:
        store.keep(session, number, files, marks, ledger.act("Sam", "put"))


def test_the_first_start_takes_the_text_up_and_keeps_it(ledger: Ledger) -> None:
    (version,) = texts.versions(ledger)
    files = read_files(ledger.shop.folder)
    assert (version.number, version.mark) == (1, whole_mark(files))
    assert (version.knowledge, version.catalogue) == (
        ledger.shop.knowledge.version,
        ledger.shop.catalogue.version,
    )
    (act,) = ledger.trail()
    said = f"version 1 of the shop's text is in effect, as it stood at the first start: {version.mark[:12]}"
    assert (act.who, act.what, act.why) == (START, said, "")
    assert ledger.shop.kept is not None
    assert read_files(ledger.shop.text) == files
    assert proposal(ledger).changes == ()
    again = taken_up(Shop(ledger.shop.folder), ledger.database)
    assert [each.number for each in texts.versions(again)] == [1]


def test_a_text_changes_nothing_before_somebody_puts_it_into_effect(ledger: Ledger) -> None:
    number = ledger.new_job((ledger.shop.jobs / "J3.yaml").read_text(encoding="utf-8"), "Wren").number
    row = ledger.keep_kit(number, "Wren")
    before = ledger.kit(ledger.job(number).job).kit
    assert change(ledger, BOOK, RATE, OTHER_RATE) == ()
    (changed,) = proposal(ledger).changes
    assert (changed.path, changed.who) == (BOOK, "Wren")
    assert [line.text.strip() for line in changed.lines if line.kind in "+-"] == [RATE, OTHER_RATE]
    found = looked(ledger)
    assert (found.mistakes, list(found.jobs), found.left) == ((), [number], 0)
    (told,) = found.effects
    assert (rate_of(ledger), outside(ledger)) == ("118.00", ())
    assert ledger.kit(ledger.job(number).job).kit == before

    old = proposal(ledger).base
    assert put(ledger) == 2
    now = ledger.kit(ledger.job(number).job).kit
    assert before.totals is not None
    assert now.totals is not None
    assert (told.old, told.new) == (before.totals.total, now.totals.total)
    assert now.totals.total > before.totals.total
    assert RATE not in (ledger.shop.folder / BOOK).read_text(encoding="utf-8")
    assert (proposal(ledger).changes, outside(ledger)) == ((), ())
    act = ledger.trail()[0]
    marked = f"{old[:12]} became {proposal(ledger).base[:12]}"
    assert (act.who, act.why) == ("Wren", "wages rose")
    assert act.what == f"version 2 of the shop's text is in effect: {marked}; {BOOK}"
    assert act.at == ledger.now()

    other = ledger.keep_kit(number, "Wren")
    assert texts.versions_of(ledger, [row, other]) == {row.number: 1, other.number: 2}
    assert texts.kept(ledger, 1).kits == ((number, 1),)
    assert texts.kept(ledger, 2).kits == ((number, 2),)
    assert [each.path for each in texts.kept(ledger, 2).changes] == [BOOK]
    then = Ledger(texts.shop_of(ledger, 1), ledger.database, ledger.papers, ledger.now)
    assert then.kit(then.job(number).job).kit == before  # an old kit can be explained
    assert kit_from_data(row.document).totals == before.totals


def test_what_kits_would_change_is_told_by_line_price_and_proof(tmp_path: Path) -> None:
    old, new = Shop(shop_of(tmp_path / "old").folder), Shop(shop_of(tmp_path / "new").folder)
    _, document = _document(old, "J3")
    assert effect(old, new, document, "as before").is_none
    kit = _kit(old, document)
    line = next(line for line in kit.lines if line.line_total > 0)
    file = new.folder / PARTS
    rows = file.read_text(encoding="utf-8").splitlines(keepends=True)
    at = next(n for n, row in enumerate(rows) if row.startswith(f"{line.part},{line.supplier},"))
    cell = f",{line.unit_price:.2f},"
    assert rows[at].count(cell) == 1
    rows[at] = rows[at].replace(cell, f",{line.unit_price + 3:.2f},")
    file.write_text("".join(rows), encoding="utf-8")
    found = effect(old, Shop(new.folder), document, "dearer")
    assert [(each.part, each.old, each.new, each.money) for each in found.lines] == [
        (line.part, line.quantity, line.quantity, 3 * line.quantity * Decimal(1))
    ]
    assert found.proofs == ()
    assert found.new is not None
    assert found.old is not None
    assert found.new > found.old
    (new.folder / PARTS).write_bytes((old.folder / PARTS).read_bytes())

    proof = next(each for each in kit.proofs if each.id == "float-speed")
    _replace(new, "proofs.yaml", proof.title, "the train follows")
    _replace(new, "proofs.yaml", "- {id: float-speed,", "- {id: another-speed,")
    _replace(new, "needs/2-valve-train.yaml", "float-speed", "another-speed")
    found = effect(old, Shop(new.folder), document, "told otherwise")
    assert {(each.title, bool(each.old), bool(each.new)) for each in found.proofs} == {
        (proof.title, True, False),
        ("the train follows", False, True),
    }
    assert found.lines == ()


def test_a_job_that_has_no_kit_any_more_is_told_with_the_reason(tmp_path: Path) -> None:
    old, new = Shop(shop_of(tmp_path / "old").folder), Shop(shop_of(tmp_path / "new").folder)
    _, document = _document(old, "J3")
    _replace(
        new,
        RULES,
        "gates:\n",
        "gates:\n  - {id: none-today, that: \"plan.heads == 'off'\", "
        "severity: STOP, why: nobody works with the heads on, source: shop}\n",
    )
    found = effect(old, Shop(new.folder), document, "stopped")
    assert found.worse
    assert "nobody works with the heads on" in found.said
    back = effect(Shop(new.folder), old, document, "let go")
    assert (back.old, back.worse, back.said) == (None, False, "")
    assert back.new == found.old
    odd = {**document, "facts": {**document["facts"], "osprey": {"value": 1, "grade": "told", "source": "x"}}}
    assert effect(old, old, odd, "unread").is_none


def _document(shop: Shop, name: str) -> tuple[Job, dict[str, Any]]:
    text = (shop.jobs / f"{name}.yaml").read_text(encoding="utf-8")
    return read_job_text(text, shop.knowledge, name)


def _kit(shop: Shop, document: dict[str, Any]) -> Kit:
    return kit_for_job(shop, read_job_data(document, shop.knowledge, "job")).kit


def _replace(shop: Shop, path: str, old: str, new: str) -> None:
    file = shop.folder / path
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def test_mistakes_block_and_notes_are_shown(ledger: Ledger) -> None:
    change(ledger, RULES, "engine.boost_kpa > 0", "engine.bost_kpa > 0")
    found = looked(ledger)
    (mistake,) = found.mistakes
    assert mistake.file == RULES
    assert "bost_kpa" in mistake.value + mistake.message
    assert found.notes
    assert (found.effects, proposal(ledger).version.number) == ((), 1)
    with pytest.raises(Refusal, match=r"The text has 1 mistake\."):
        put(ledger)
    assert len(texts.versions(ledger)) == 1
    assert "bost_kpa" in text_of(ledger, RULES)
    assert "bost_kpa" not in (ledger.shop.folder / RULES).read_text(encoding="utf-8")


def test_text_that_cannot_be_read_is_kept_and_told(ledger: Ledger) -> None:
    said = write(ledger, NOTES, "- {id: half\n  why: [unclosed\n")
    assert said
    assert said[0].startswith(f"{NOTES}:")
    assert text_of(ledger, NOTES) == "- {id: half\n  why: [unclosed\n"
    again = Ledger(ledger.shop, ledger.database, ledger.papers, ledger.now)
    assert text_of(again, NOTES).startswith("- {id: half")
    (mistake,) = looked(ledger).mistakes
    assert (mistake.kind, mistake.file) == ("unreadable", NOTES)
    with pytest.raises(Refusal, match="1 mistake"):
        put(ledger)


def test_two_people_at_one_file_lose_nothing(ledger: Ledger) -> None:
    seen = text_writing.page(ledger, BOOK).seen
    text = text_of(ledger, BOOK)
    text_writing.write(ledger, BOOK, text.replace(RATE, OTHER_RATE), seen, "Wren")
    with pytest.raises(ChangedMeanwhile, match=f"The file {BOOK} changed meanwhile by Wren"):
        text_writing.write(ledger, BOOK, text.replace(RATE, 'labour_rate: "99.00"'), seen, "Sam")
    with pytest.raises(ChangedMeanwhile, match="changed meanwhile by Wren"):
        text_writing.throw_away(ledger, BOOK, seen)
    assert OTHER_RATE in text_of(ledger, BOOK)
    now = text_writing.page(ledger, BOOK)
    text_writing.write(ledger, BOOK, now.text.replace(OTHER_RATE, 'labour_rate: "99.00"'), now.seen, "Sam")
    assert text_writing.page(ledger, BOOK).draft == "Sam"
    text_writing.throw_away(ledger, BOOK, text_writing.page(ledger, BOOK).seen)
    assert proposal(ledger).changes == ()


def test_a_file_that_is_written_as_it_stands_is_no_change(ledger: Ledger) -> None:
    for path in (BOOK, PARTS, "tables/grind.yaml"):
        write(ledger, path, text_of(ledger, path).replace("\n", "\r\n"))
    assert proposal(ledger).changes == ()
    assert written("a\r\nb", b"x\r\ny\r\n") == b"a\r\nb\r\n"
    assert typed(b"a\r\nb\r\n") == "a\nb\n"


def test_a_file_changed_outside_is_noticed_and_waits(ledger: Ledger) -> None:
    edit(ledger, BOOK, RATE, OTHER_RATE)
    edit(ledger, BREATHING, "version:", "# seen\nversion:")
    assert outside(ledger) == (BREATHING, BOOK)
    assert rate_of(ledger) == "118.00"
    assert worker_of(ledger)._shop().knowledge.book.money["labour_rate"] == "118.00"
    assert read_breathing(ledger.shop.text).data
    assert [(each.path, each.who, each.at) for each in proposal(ledger).changes] == [
        (BREATHING, "", None),
        (BOOK, "", None),
    ]
    looked(ledger)
    assert put(ledger, "the house book was edited by hand") == 2
    assert (rate_of(ledger), outside(ledger)) == ("121.00", ())


def test_a_file_changed_here_and_outside_is_not_lost_at_either_place(ledger: Ledger) -> None:
    change(ledger, BOOK, RATE, OTHER_RATE)
    edit(ledger, BOOK, 'dyno_rate: "165.00"', 'dyno_rate: "170.00"')
    assert proposal(ledger).clashes == (BOOK,)
    looked(ledger)
    with pytest.raises(Refusal, match=f"Changed both in the app and in the folder: {BOOK}"):
        put(ledger)
    assert "170.00" in (ledger.shop.folder / BOOK).read_text(encoding="utf-8")
    change(ledger, BOOK, 'dyno_rate: "165.00"', 'dyno_rate: "170.00"')
    assert proposal(ledger).clashes == ()
    looked(ledger)
    put(ledger)
    money = ledger.shop.knowledge.book.money
    assert (money["labour_rate"], money["dyno_rate"]) == ("121.00", "170.00")


def test_only_what_was_looked_at_takes_effect(ledger: Ledger) -> None:
    with pytest.raises(Refusal, match="Nothing differs from the text that is in effect"):
        put(ledger)
    change(ledger, BOOK, RATE, OTHER_RATE)
    with pytest.raises(Refusal, match="The text was not looked through yet"):
        put(ledger)
    looked(ledger)
    with pytest.raises(BadInput, match="no reason is stated"):
        put(ledger, "  ")
    seen = proposal(ledger).mark
    change(ledger, BOOK, 'dyno_rate: "165.00"', 'dyno_rate: "170.00"', "Sam")
    with pytest.raises(ChangedMeanwhile, match="The shop's text changed meanwhile"):
        texts.put_into_effect(ledger, seen, "wages rose", "Wren")
    with pytest.raises(Refusal, match="not looked through yet"):
        put(ledger)
    assert (len(texts.versions(ledger)), rate_of(ledger)) == (1, "118.00")


def test_a_draft_that_comes_in_between_stays(ledger: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    change(ledger, BOOK, RATE, OTHER_RATE)
    looked(ledger)
    at_once = texts.writing_files

    def slow(*given: object) -> object:
        change(ledger, RULES, "rules: []", "rules: [] # none", "Sam")
        return at_once(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(texts, "writing_files", slow)
    with pytest.raises(ChangedMeanwhile, match="The shop's text changed meanwhile"):
        put(ledger)
    monkeypatch.undo()
    assert "# none" in text_of(ledger, RULES)
    assert (len(texts.versions(ledger)), outside(ledger)) == (1, ())
    assert notes(ledger.shop.folder) == []


def test_of_two_servers_one_puts_into_effect_and_the_other_follows(ledger: Ledger) -> None:
    other = taken_up(Shop(ledger.shop.folder), ledger.database)
    change(ledger, BOOK, RATE, OTHER_RATE)
    looked(ledger)
    stale = proposal(other)
    assert put(ledger) == 2
    assert rate_of(other) == "118.00"
    with pytest.raises(Refusal, match="Nothing differs from the text that is in effect"):
        texts.put_into_effect(other, stale.mark, "wages rose", "Sam")
    assert (rate_of(other), len(texts.versions(other))) == ("121.00", 2)
    with pytest.raises(ChangedMeanwhile, match="changed meanwhile by Wren"):
        take_effect_after(other, 1, read_files(other.shop.folder))


def test_looking_through_an_old_text_is_refused_and_new_work_is_done_with_the_new_one(ledger: Ledger) -> None:
    change(ledger, BOOK, RATE, OTHER_RATE)
    looked(ledger)
    worker = worker_of(ledger)
    assert not worker.work_once()
    put(ledger)
    change(ledger, BOOK, OTHER_RATE, RATE)
    texts.ask_look(ledger, "Wren")
    text_writing.throw_away(ledger, BOOK, text_writing.page(ledger, BOOK).seen)
    change(ledger, RULES, "rules: []", "rules: [] # none")
    looked(ledger)
    put(ledger, "a remark")
    assert worker._shop().knowledge.book.money["labour_rate"] == "121.00"
    change(ledger, BOOK, OTHER_RATE, RATE)
    texts.ask_look(ledger, "Wren")
    other = {**read_files(ledger.shop.text), "vehicles.yaml": b"- another\n"}
    take_effect_after(ledger, texts.versions(ledger)[0].number, other)
    worker.work_once()
    (task,) = [each for each in ledger.queue.latest() if each.state == FAILED]
    assert task.message.startswith("Another text took effect since this was asked for.")


def test_one_goes_back_as_a_new_version(ledger: Ledger) -> None:
    before = read_files(ledger.shop.folder)
    change(ledger, BOOK, RATE, OTHER_RATE)
    write(ledger, OWN_FILE, "- not every gauge is true\n")
    looked(ledger)
    put(ledger)
    assert (ledger.shop.folder / OWN_FILE).is_file()
    change(ledger, RULES, "rules: []", "rules: [] # none")
    with pytest.raises(Refusal, match="Version 1 cannot be taken up while something else is being written"):
        text_writing.go_back(ledger, 1, "Wren")
    text_writing.throw_away(ledger, RULES, text_writing.page(ledger, RULES).seen)
    with pytest.raises(NotKept, match="There is no version 7"):
        text_writing.go_back(ledger, 7, "Wren")
    text_writing.go_back(ledger, 1, "Wren")
    assert [(each.path, each.new is None) for each in proposal(ledger).changes] == [
        (OWN_FILE, True),
        (BOOK, False),
    ]
    assert rate_of(ledger) == "121.00"
    looked(ledger)
    assert put(ledger, "the new rate was a mistake") == 3
    assert read_files(ledger.shop.folder) == before
    assert [each.mark for each in texts.versions(ledger)][::2] == [whole_mark(before)] * 2
    assert rate_of(ledger) == "118.00"


def test_files_may_be_added_and_taken_away_under_names_that_belong_to_the_text(ledger: Ledger) -> None:
    for name in (
        "../shop.yaml",
        "jobs/J9.yaml",
        "needs/a b.yaml",
        "shop.db",
        "/etc/rules.yaml",
        "",
        "parts.txt",
    ):
        with pytest.raises(BadInput, match="no file of the shop's text is called so"):
            text_writing.write(ledger, name, "[]\n", "", "Wren")
        with pytest.raises(BadInput, match="no file of the shop's text is called so"):
            text_writing.page(ledger, name)
    with pytest.raises(BadInput, match=f"the text is too long .read: {text_writing.LONGEST + 1} bytes"):
        write(ledger, OWN_FILE, "#" * text_writing.LONGEST)
    text_writing.take_away(ledger, NOTES, text_writing.page(ledger, NOTES).seen, "Wren")
    assert text_writing.page(ledger, NOTES).gone
    assert looked(ledger).mistakes
    (ledger.shop.folder / NOTES).write_bytes(b"\xff\xfe")
    text_writing.throw_away(ledger, NOTES, text_writing.page(ledger, NOTES).seen)
    with pytest.raises(BadInput, match="the file is not UTF-8 text"):
        texts.ask_look(ledger, "Wren")


def test_jobs_that_changed_since_are_named(ledger: Ledger) -> None:
    number = ledger.new_job((ledger.shop.jobs / "J3.yaml").read_text(encoding="utf-8"), "Wren").number
    change(ledger, RULES, "rules: []", "rules: [] # none")
    assert looked(ledger).effects == ()
    assert texts.look(ledger, proposal(ledger)).stale == ()
    ledger.change_plan(number, ["package=best"], 1, "Sam")
    assert texts.look(ledger, proposal(ledger)).stale == (number,)
    looked(ledger)
    assert texts.look(ledger, proposal(ledger)).stale == ()


def test_a_deleted_customer_stands_in_nothing_that_was_looked_through(ledger: Ledger) -> None:
    for name in ("J1", "J3"):
        ledger.new_job((ledger.shop.jobs / f"{name}.yaml").read_text(encoding="utf-8"), "Wren")
    customer, _ = people.of_job(ledger, "J1")
    assert customer is not None
    change(ledger, RULES, "rules: []", "rules: [] # none")
    looked(ledger)
    (task,) = ledger.queue.latest()
    assert customer.name in str(task.task)
    privacy.delete(ledger, customer.id, privacy.sentence(customer.name), b"gone", "Wren")
    assert customer.name not in b"".join(lines(ledger.database)).decode()
    assert not texts.look(ledger, proposal(ledger)).asked
    looked(ledger)


# ---- starting again --------------------------------------------------------------------------------------


def test_a_start_takes_up_what_was_changed_if_it_is_sound_and_one_is_alone(ledger: Ledger) -> None:
    edit(ledger, BOOK, RATE, OTHER_RATE)
    shop = Shop(ledger.shop.folder)
    others = taken_up(shop, ledger.database, alone=False)
    assert (rate_of(others), outside(others)) == ("118.00", (BOOK,))
    again = taken_up(shop, ledger.database)
    assert (rate_of(again), outside(again)) == ("121.00", ())
    act = again.trail()[0]
    assert (act.who, act.why) == (START, "files of the folder were changed; their audit finds no mistake")
    old, new = (each.mark[:12] for each in reversed(texts.versions(again)))
    assert act.what == f"version 2 of the shop's text is in effect: {old} became {new}"


@pytest.mark.parametrize(
    ("path", "old", "new"),
    [
        (RULES, "engine.boost_kpa > 0", "engine.bost_kpa > 0"),
        (BOOK, "money:", "money: ["),
        (BOOK, "\nshop:", "\nx:"),
    ],
)
def test_a_start_with_mistakes_goes_on_with_what_was_in_effect(
    ledger: Ledger, capsys: pytest.CaptureFixture[str], path: str, old: str, new: str
) -> None:
    edit(ledger, path, old, new)
    again = taken_up(Shop(ledger.shop.folder), ledger.database)
    assert (rate_of(again), outside(again), len(texts.versions(again))) == ("118.00", (path,), 1)
    said = capsys.readouterr().err
    assert said.startswith(f"tappetry: the text in {ledger.shop.folder} is not the one in effect and has ")
    assert said.endswith("; version 1 stays in effect, see the page Shop\n")


def test_a_program_that_ends_while_it_writes_goes_on_with_it_later(
    ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    change(ledger, BOOK, RATE, OTHER_RATE)
    looked(ledger)

    def ends(*given: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(text_in_effect, "write_files", ends)
    with pytest.raises(KeyboardInterrupt):
        put(ledger)
    monkeypatch.undo()
    assert RATE in (ledger.shop.folder / BOOK).read_text(encoding="utf-8")
    again = taken_up(Shop(ledger.shop.folder), ledger.database, alone=False)
    assert (rate_of(again), outside(again), len(texts.versions(again))) == ("121.00", (), 2)
    assert OTHER_RATE in (ledger.shop.folder / BOOK).read_text(encoding="utf-8")
    assert notes(ledger.shop.folder) == []


def test_what_cannot_be_kept_changes_no_file(ledger: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    change(ledger, BOOK, RATE, OTHER_RATE)
    looked(ledger)

    def refuses(*given: object) -> None:
        raise ChangedMeanwhile("shop's text", "Sam", "now", 2, ())

    monkeypatch.setattr(store, "keep", refuses)
    with pytest.raises(ChangedMeanwhile):
        put(ledger)
    assert (rate_of(ledger), outside(ledger), len(texts.versions(ledger))) == ("118.00", (), 1)
    assert OTHER_RATE in text_of(ledger, BOOK)
    assert notes(ledger.shop.folder) == []


def test_who_is_too_late_leaves_what_the_other_is_writing(ledger: Ledger) -> None:
    folder = ledger.shop.folder

    def too_late() -> None:
        with text_in_effect.writing_files(folder, "second", {BOOK: None}):
            assert len(notes(folder)) == 2
            raise Refusal("too late")

    with text_in_effect.writing_files(folder, "first", {BOOK: b"money: {}\n"}):
        (first,) = notes(folder)
        with pytest.raises(Refusal, match="too late"):
            too_late()
        assert notes(folder) == [first]
        assert RATE in (folder / BOOK).read_text(encoding="utf-8")
    assert (folder / BOOK).read_bytes() == b"money: {}\n"
    assert notes(folder) == []


def test_a_text_that_was_laid_down_and_spoilt_is_laid_down_again(tmp_path: Path) -> None:
    files = {"rules.yaml": b"rules: []\n", "needs/1.yaml": b"[]\n"}
    mark = whole_mark(files)
    place = lay_down(files, tmp_path, mark)
    (place / "rules.yaml").write_bytes(b"rules: [spoilt]\n")
    assert read_files(lay_down(files, tmp_path, mark)) == files
    assert [each.name for each in place.parent.iterdir()] == [mark]


def test_the_currency_stays_once_a_job_was_agreed_in_it(
    ledger: Ledger, capsys: pytest.CaptureFixture[str]
) -> None:
    agreed(ledger)
    edit(ledger, BOOK, "currency: USD", "currency: EUR")
    again = taken_up(Shop(ledger.shop.folder), ledger.database)
    assert again.shop.knowledge.book.money["currency"] == "USD"
    assert "The shop cannot go from USD to EUR" in "".join(capsys.readouterr())
    assert looked(again).mistakes == ()
    with pytest.raises(Refusal, match="The shop cannot go from USD to EUR") as told:
        put(again)
    assert told.value.grounds[0].text == "job J-1 was agreed in USD"
    assert again.shop.knowledge.book.money["currency"] == "USD"
    edit(ledger, BOOK, "currency: EUR", "currency: USD")
    change(again, BOOK, RATE, OTHER_RATE)
    looked(again)
    assert put(again) == 2
