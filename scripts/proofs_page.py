"""Writes docs/reference/proofs.md: the checks of the trade, what makes each, and every proof of the demo."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import yaml

from tappetry.knowledge.language import Expression
from tappetry.knowledge.loader import load
from tappetry.knowledge.model import Knowledge, ProofRule
from tappetry.services.shop import demo_folder

PAGE = Path(__file__).resolve().parents[1] / "docs" / "reference" / "proofs.md"
CHECKS = Path(__file__).resolve().parent / "trade-checks.yaml"
SEVERITIES = ("STOP", "SIGN", "WARN", "NOTE")
STAGES = {
    "order": "Before the order",
    "receiving": "At receiving",
    "bench": "At the bench",
    "hand-off": "At the hand-off to the calibrator",
}

HEAD = """\
# Checks and proofs

What a builder sees to before, during and after a conversion, and what makes each check here.
`python -m scripts.proofs_page` writes this page from `scripts/trade-checks.yaml` and the text of the invented
shop; a test sees that it is up to date, that everything named exists, and that no proof is left out.

- A **proof** is a value against a limit, with its margin, formula, inputs and their provenance
  ([format](knowledge-format.md#proofsyaml)). One that a need names also decides which parts are chosen.
- A **gate** asks about law, health or sense before a kit is made; a **rule** says what a part must meet, and
  keeps one that does not out of the kit; a **need** has its own condition for buying new; a **note** tells a
  third person in writing; a **step** stands in a procedure of the bench.
- The **checker** judges the finished kit with code of its own: a fault means that no kit is shown.

STOP refuses, SIGN wants the owner's written reason, WARN and NOTE are told. Whatever hangs on a value that
nobody has stated is UNKNOWN: open, and never a pass. Limits of common practice have no source, and stand in
the house book for the shop to change. Everything of the demo is invented.
"""


def checks() -> dict[str, list[dict[str, Any]]]:
    """The checks of the trade by what they are about."""
    groups: dict[str, list[dict[str, Any]]] = yaml.safe_load(CHECKS.read_text(encoding="utf-8"))
    return groups


def knowledge() -> Knowledge:
    """What the invented shop knows."""
    return load(demo_folder())


def text() -> str:
    """The whole page."""
    shop = knowledge()
    return HEAD + _summary(shop) + "".join(_groups(shop)) + "".join(_stages(shop))


def is_made(check: Mapping[str, Any]) -> bool:
    """Whether anything makes a check today."""
    return "by" in check or "program" in check


def named(check: Mapping[str, Any], kind: str) -> list[str]:
    """What of one kind makes a check: proofs, gates, rules and so on."""
    names: list[str] = check.get("by", {}).get(kind, [])
    return names


def _summary(shop: Knowledge) -> str:
    every = [check for group in checks().values() for check in group]
    made = [check for check in every if is_made(check)]
    partly = [check for check in made if "later" in check]
    by_proof = [check for check in made if named(check, "proof")]
    return (
        f"\n{len(made)} of {len(every)} checks are made today, {len(by_proof)} of them by "
        f"{len(shop.proofs)} proofs; of {len(partly)} a part is still to come, and {len(every) - len(made)} "
        "come later as a whole.\n"
    )


def _groups(shop: Knowledge) -> Iterator[str]:
    for title, group in checks().items():
        yield f"\n## {title}\n\n| check | what is seen to | verdict | made by | still to come |\n"
        yield "| --- | --- | --- | --- | --- |\n"
        for check in group:
            cells = [f"`{check['id']}`", check["what"], _verdict(shop, check), _by(check), _later(check)]
            yield f"| {' | '.join(_cell(each) for each in cells)} |\n"


def _verdict(shop: Knowledge, check: Mapping[str, Any]) -> str:
    """The verdicts that a check may give when it does not hold, the strictest first."""
    rules, gates = shop.all_rules(), {gate.id: gate for gate in shop.gates}
    found = {shop.proofs[name].severity for name in named(check, "proof")}
    found |= {gates[name].severity for name in named(check, "gate")}
    found |= {rules[name].severity for name in named(check, "rule")}
    stated = ", ".join(each for each in SEVERITIES if each in found)
    return stated or check.get("verdict", "")


def _by(check: Mapping[str, Any]) -> str:
    made = [
        f"{kind} {', '.join(f'`{name}`' for name in names)}" for kind, names in check.get("by", {}).items()
    ]
    return "; ".join([*made, *([check["program"]] if "program" in check else [])])


def _later(check: Mapping[str, Any]) -> str:
    how, _, what = check.get("later", "").partition(": ")
    return what if how == "part" else f"all of it: {what}" if what else ""


def _stages(shop: Knowledge) -> Iterator[str]:
    for stage, title in STAGES.items():
        proofs = [proof for proof in shop.proofs.values() if proof.stage == stage]
        yield f"\n## Proofs: {title[0].lower()}{title[1:]}\n"
        if stage != "order":
            yield "\nSilent until one of the measurements stands in the job.\n"
        yield "\n| proof | what holds | formula | limit | source | verdict | what to do when short |\n"
        yield "| --- | --- | --- | --- | --- | --- | --- |\n"
        for proof in proofs:
            cells = [f"`{proof.id}`", proof.title, proof.formula, _limit(shop, proof), _source(proof)]
            cells += [proof.severity, proof.advice]
            yield f"| {' | '.join(_cell(each) for each in cells)} |\n"


def _limit(shop: Knowledge, proof: ProofRule) -> str:
    unit = "" if proof.unit == "1" else f" {proof.unit}"
    sides = (("at least", proof.at_least), ("at most", proof.at_most))
    return ", ".join(f"{side} {_bound(shop, limit, unit)}" for side, limit in sides if limit is not None)


def _bound(shop: Knowledge, limit: Expression, unit: str) -> str:
    """A limit of the house as its number; any other by the name of what it comes to."""
    root, _, member = limit.text.partition(".")
    if root == "limits" and member in shop.book.limits:
        return f"{shop.book.limits[member]:g}{unit}"
    if limit.text in shop.named:
        return shop.named[limit.text].title
    return f"{limit.text}{unit}" if not limit.reads else f"`{limit.text}`"


def _source(proof: ProofRule) -> str:
    said = "common practice, no source" if proof.source == "common practice" else proof.source
    return said if proof.limit_source == proof.source else f"{said}; {proof.limit_source}"


def _cell(value: str) -> str:
    return value.replace("|", r"\|")


def main() -> int:
    """Write the page."""
    PAGE.write_text(text(), encoding="utf-8")
    print(f"docs/reference/{PAGE.name}: {sum(map(len, checks().values()))} checks")
    return 0


if __name__ == "__main__":
    sys.exit(main())
