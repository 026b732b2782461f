"""The page of checks and proofs: up to date, complete, and naming only what exists."""

from __future__ import annotations

import re

import pytest

from scripts.proofs_page import PAGE, STAGES, checks, is_made, knowledge, named, text
from tappetry.kitting.checker import judge

SHOP = knowledge()
CHECKS = {check["id"]: check for group in checks().values() for check in group}
KNOWN = {
    "proof": set(SHOP.proofs),
    "gate": {gate.id for gate in SHOP.gates},
    "rule": set(SHOP.all_rules()),
    "need": set(SHOP.needs),
    "note": {note.id for note in SHOP.notes},
    "step": {step.id for step in SHOP.procedures},
    "checker": set(re.findall(r"^([a-z-]+(?:, [a-z-]+)*)  ", judge.__doc__ or "", re.MULTILINE)),
}
KNOWN["checker"] = {name for names in KNOWN["checker"] for name in names.split(", ")}
LATER = {"simulation", "bench and build", "build sheet", "the shop app"}


def test_the_page_is_up_to_date() -> None:
    assert text() == PAGE.read_text(encoding="utf-8"), "the page is old: run 'python -m scripts.proofs_page'"


@pytest.mark.parametrize("name", CHECKS)
def test_what_makes_a_check_exists(name: str) -> None:
    check = CHECKS[name]
    assert set(check) <= {"id", "what", "verdict", "by", "program", "later"}
    assert set(check.get("by", {})) <= KNOWN.keys()
    for kind, known in KNOWN.items():
        assert set(named(check, kind)) <= known


@pytest.mark.parametrize("name", CHECKS)
def test_what_is_still_to_come_says_with_what(name: str) -> None:
    check = CHECKS[name]
    later = check.get("later", "")
    assert is_made(check) or later.startswith("all: ")
    if later:
        assert later.partition(":")[0] == ("part" if is_made(check) else "all")
        assert any(what in later for what in LATER)


def test_each_check_stands_there_once() -> None:
    assert len(CHECKS) == sum(map(len, checks().values()))


def test_every_proof_makes_a_check() -> None:
    proofs = {proof for check in CHECKS.values() for proof in named(check, "proof")}
    assert set(SHOP.proofs) - proofs == set()


def test_every_check_that_is_made_says_its_verdict() -> None:
    rows = re.findall(
        r"^\| `([a-z-]+)` \| .*? \| (.*?) \| .* \| .* \|$", PAGE.read_text(encoding="utf-8"), re.MULTILINE
    )
    verdicts = {name: verdict for name, verdict in rows if name in CHECKS}
    assert verdicts.keys() == CHECKS.keys()
    assert {name for name, verdict in verdicts.items() if not verdict} == {
        name for name, check in CHECKS.items() if not is_made(check)
    }


def test_at_least_forty_checks_have_a_proof_or_a_gate() -> None:
    assert sum(bool(named(check, "proof") or named(check, "gate")) for check in CHECKS.values()) >= 40


@pytest.mark.parametrize("name", SHOP.proofs)
def test_a_proof_says_all_that_a_person_asks(name: str) -> None:
    proof = SHOP.proofs[name]
    assert proof.stage in STAGES
    assert proof.why
    assert proof.source
    assert proof.limit_source
    assert proof.formula
    assert proof.advice
