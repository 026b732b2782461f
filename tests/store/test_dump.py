"""Everything out of one database and into another: the same bytes, all or nothing."""

from __future__ import annotations

import gzip
import hashlib
import json
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from tappetry.store import texts
from tappetry.store.accepted import keep_acceptance, keep_change, keep_orders
from tappetry.store.accounts import account_named, add_account, add_failure, add_session, add_token
from tappetry.store.accounts_models import Account, ProgramToken
from tappetry.store.books import Moved, keep_posting
from tappetry.store.database import Database
from tappetry.store.dump import UNNAMED_STEP, content, lines, load, read_lines
from tappetry.store.jobs import add_job, change_job, find_jobs, history, job_now
from tappetry.store.links import Said, end_link, keep_answer, keep_link, see_answer
from tappetry.store.migrate import migrate, steps
from tappetry.store.models import PLAN, Base
from tappetry.store.problems import NotKept
from tappetry.store.quotes import keep_kit, keep_quote, quote_paper
from tappetry.store.tasks import Wanted, ask, end, take
from tests.databases import KINDS, Databases
from tests.store.documents import NOON, act, document, kit, order_paper, paper, yes
from tests.store.filling import fill

pytestmark = pytest.mark.slow

#: Tables that a copy leaves out, and why; rows in each other one are tried in `test_every_step.py`.
LEFT_OUT = {
    "sessions": "whoever was logged in logs in again",
    "failed_logins": "they slow logins down for minutes; a copy is brought back later",
}
ACCOUNT = {"role": "desk", "password": "$argon2id$", "disabled": False, "must_change": False}


def filled(database: Database) -> Database:
    with database.writing() as session:
        for number in ("J-1", "J-2", "Jü-3"):
            job = add_job(session, document(number), act())
            job = change_job(session, document(number, phaser="remove"), {PLAN: 1}, act(after=1, why="ü"))
            kept = keep_kit(session, job, kit(), {"lines": [1.5, None, "é"]}, act(after=2))
            quote = keep_quote(session, job, kept, paper("\x00\xff of " + number), act(after=3))
            if number == "J-2":
                agreed = keep_acceptance(session, number, quote, yes(), act(after=4))
                keep_orders(session, number, agreed, [order_paper()], 0, act(after=5))
                link = keep_link(session, number, "b" * 64, NOON, {"paper": True}, act(after=5))
                said = keep_answer(session, link.mark, Said("cover", photo=b"\x00\xff"), act(after=0))
                see_answer(session, number, said.id, True, act(after=5))
                end_link(session, number, link.id, act(after=5))
                moved = Moved("deposit", NOON.date(), "", "")
                legs = [("cash", Decimal("5.00")), ("deposits", Decimal("-5.00"))]
                keep_posting(session, number, moved, lambda *_, made=legs: made, act(after=5))
                later = keep_kit(session, job, kit("21.99"), {"lines": []}, act(after=6))
                keep_change(session, number, kept, later, paper(), act(after=7))
        add_account(session, Account(name="Wren", **ACCOUNT), act(after=8))
        add_session(session, "c" * 64, account_named(session, "Wren"), NOON, NOON)
        add_failure(session, "Wren", "10.0.0.9", NOON, NOON)
        token = ProgramToken(
            name="books", mark="d" * 64, role="desk", writes=False, ends_at=NOON, ended=False
        )
        add_token(session, token, act(after=8))
        files = {"rules.yaml": "- ü\n".encode(), "notes.yaml": b"- \xff\n"}
        texts.keep(session, 0, files, texts.Marks("e" * 64, "know", "cat"), act(after=8))
        texts.put_draft(session, "rules.yaml", b"- [", "f" * 64, act(after=8))
        ask(session, Wanted("a" * 64, "count", "counting", {"to": 3}), "Wren", NOON)
        task = take(session, "one", NOON)
        assert task is not None
        end(session, task.id, "one", NOON, {"counted": [1, 2.5]})
    return database


@pytest.mark.parametrize("other", KINDS)
def test_a_store_moves_to_either_database_with_equal_counts_and_checksum(
    database: Database, all_databases: Databases, other: str
) -> None:
    written = list(lines(filled(database)))
    target = all_databases.new(other)
    found = load(target, written)
    assert found == content(database) == content(target)
    assert set(found.counts) == set(Base.metadata.tables) - set(LEFT_OUT)
    assert (found.counts["jobs"], found.counts["kits"], found.counts["quotes"]) == (3, 4, 3)
    assert list(lines(target)) == written
    with target.reading() as session:
        assert job_now(session, "Jü-3").document == document("Jü-3", phaser="remove")
        assert quote_paper(session, "J-2", 1) == "\x00\xff of J-2".encode()
        assert [each.why for each in history(session, "J-1")] == ["", "", "ü", ""]
    target.close()


def test_a_file_that_names_no_step_is_of_the_one_at_which_files_began_to(
    database: Database, all_databases: Databases
) -> None:
    old = all_databases.empty("sqlite")
    migrate(old, UNNAMED_STEP)
    fill(old)
    first, *rows, last = lines(old)
    said = json.loads(first)
    del said["schema"]
    unnamed = [json.dumps(said).encode() + b"\n", *rows]
    counts = json.loads(last)["counts"]
    end = {"counts": counts, "sha256": hashlib.sha256(b"".join(unnamed)).hexdigest()}
    empty = all_databases.empty("sqlite" if database.is_sqlite else "postgresql")
    migrate(empty, UNNAMED_STEP)
    assert load(empty, [*unnamed, json.dumps(end).encode()]).counts == counts
    assert content(empty) == content(old)
    old.close()
    empty.close()


def test_lines_of_another_step_are_refused(database: Database, all_databases: Databases) -> None:
    old = all_databases.empty("sqlite")
    migrate(old, steps()[0])
    with pytest.raises(
        NotKept, match=f"tables at step {steps()[0]}, those of the database are at step {steps()[-1]}"
    ):
        load(database, lines(old))
    old.close()


@pytest.mark.parametrize(
    "written", ['{"a": 1}', '{"a":1}', '{"a": 1', "{", '{"a": "\\u00fc"}', '{"a": 1e400}']
)
def test_a_text_that_reads_like_a_document_comes_back_to_the_letter(
    database: Database, all_databases: Databases, written: str
) -> None:
    with database.writing() as session:
        add_job(session, {**document(), "title": written}, act())
    other = all_databases.new("sqlite")
    load(other, lines(database))
    with other.reading() as session:
        (found,) = find_jobs(session)
    assert found.title == written
    other.close()


def test_work_goes_on_after_it(database: Database, all_databases: Databases) -> None:
    target = all_databases.new("postgresql")
    load(target, lines(filled(database)))
    with target.writing() as session:
        add_job(session, document("J-9"), act())
    with target.reading() as session:
        assert len(find_jobs(session)) == 4
    target.close()


def test_a_database_with_jobs_takes_nothing_in(database: Database) -> None:
    before = content(filled(database))
    with pytest.raises(
        NotKept, match=r"The database holds something already \(.*jobs.*\). Only an empty one"
    ):
        load(database, list(lines(database)))
    assert content(database) == before


Spoil = Callable[[list[bytes]], list[bytes]]


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda all_: all_[:-1], "without its last line: it is not whole"),
        (lambda all_: all_[1:], "Line 1 is not that of a store of version 1"),
        (lambda all_: [*all_[:-2], all_[-1]], "What was read is not what the file says"),
        (
            lambda all_: [each for each in all_ if not each.startswith(b'{"table": "jobs"')],
            "The rows of the file do not belong together",
        ),
        (lambda all_: [each.replace(b"Pellow", b"Pellew", 1) for each in all_], "is not what the file says"),
        (lambda all_: [*all_[:2], b"no\n", *all_[2:]], "Line 3 is not a line of a store"),
        (
            lambda all_: [*all_[:1], b'{"table": "osprey", "row": {}}\n'],
            "Line 2: there is no such table: osprey",
        ),
        (
            lambda all_: [*all_[:1], b'{"table": "jobs", "row": {"id": 1}}\n'],
            "Line 2: a row of jobs has id, number",
        ),
        (
            lambda all_: [each.replace(b'"39.98"', b'"much"') for each in all_],
            "a value of kits cannot be read",
        ),
    ],
)
def test_what_is_damaged_leaves_nothing(
    database: Database, all_databases: Databases, spoil: Spoil, said: str
) -> None:
    source = filled(all_databases.new("sqlite"))
    with pytest.raises(NotKept, match=said):
        load(database, spoil(list(lines(source))))
    assert set(content(database).counts.values()) == {0}
    source.close()


def test_a_packed_file_is_read_like_a_plain_one(database: Database, tmp_path: Path) -> None:
    written = b"".join(lines(filled(database)))
    plain, packed, torn = (tmp_path / name for name in ("plain", "packed", "torn"))
    plain.write_bytes(written)
    packed.write_bytes(gzip.compress(written))
    torn.write_bytes(gzip.compress(written)[:-20])
    assert list(read_lines(plain)) == list(read_lines(packed))
    first = json.loads(written.splitlines()[0])
    assert first == {"format": "tappetry store", "version": 1, "schema": steps()[-1]}
    with pytest.raises(NotKept, match="torn cannot be read"):
        list(read_lines(torn))
    with pytest.raises(NotKept, match="gone cannot be read"):
        list(read_lines(tmp_path / "gone"))
