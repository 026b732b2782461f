"""`tappetry demo`: works every job of the invented shop from the vehicle to the papers."""

from __future__ import annotations

import argparse
import os
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tappetry.cli.streams import answer, note, show, stage
from tappetry.cli.working import declare_out, kit_of

if TYPE_CHECKING:
    from tappetry.records.problems import Refusal
    from tappetry.services.kits import KitResult
    from tappetry.services.shop import Shop
    from tappetry.services.trials import Trial

OUT = Path("out")


@dataclass
class Worked:
    """A job of the demo: its kit or its refusal, and the files written."""

    file: Path
    result: KitResult | None = None
    refusal: Refusal | None = None
    papers: list[Path] = field(default_factory=list)


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    declare_out(parser, OUT)


def run(arguments: argparse.Namespace) -> int:
    """Work all jobs; 2 when one of them was refused."""
    from tappetry.records.problems import Refusal
    from tappetry.services.files import require_folder

    out = require_folder(arguments.out)
    shop = _shop(out)
    audit_said = _audit(shop)
    vehicles = _vehicles(shop)
    jobs = [_work(shop, file, out) for file in sorted(shop.jobs.glob("*.yaml"))]
    if arguments.json:
        answer(_data(shop, out, audit_said, vehicles, jobs))
    else:
        from tappetry.cli.demo_tables import closing_lines, totals

        show(totals(jobs))
        print(*closing_lines(shop, out, jobs), sep="\n")
    return Refusal.exit_code if any(job.refusal for job in jobs) else 0


def _shop(out: Path) -> Shop:
    """The invented shop in the folder of ``TAPPETRY_HOME``, else beside the papers: never among real data."""
    from tappetry.services.shop import home, make_demo_shop

    place = home() if os.environ.get("TAPPETRY_HOME") else out / "demo-home"
    with stage(f"the invented shop in {place}") as now:
        now.result = "is there already and stays as it is" if (place / "shop.yaml").is_file() else "made"
        shop = make_demo_shop(place)
    with stage("its knowledge and catalogue") as now:
        now.result = f"{len(shop.knowledge.needs)} needs, {len(shop.catalogue.parts)} parts"
    return shop


def _audit(shop: Shop) -> str:
    from tappetry.cli.audit import summary
    from tappetry.services.audits import audit_folder

    with stage("audit of its text") as now:
        now.result = summary(audit_folder(shop.folder))
    return now.result


def _vehicles(shop: Shop) -> tuple[Trial, ...]:
    from tappetry.services.trials import trials

    with stage("vehicles identified") as now:
        tried = trials(shop)
        right = sum(not each.failures() for each in tried)
        now.result = f"{right} of {len(tried)} as stated in vehicles.yaml"
    for each in tried:
        for failure in each.failures():
            note(f"  {each.id} {each.title}: {failure}")
    return tried


def _work(shop: Shop, file: Path, out: Path) -> Worked:
    """One job: kit, proofs, quote, orders; a refusal is told and the other jobs go on."""
    from tappetry.presentation.as_json import kit_data, proof_data
    from tappetry.presentation.papers import as_text, file_name, write_orders, write_quote
    from tappetry.records.problems import Refusal
    from tappetry.services.doubts import doubted
    from tappetry.services.files import save

    job = Worked(file)
    try:
        result = job.result = kit_of(shop, file)
    except Refusal as refusal:
        job.refusal = refusal
        note(f"  {refusal}")
        return job
    name = file_name(result.job.id)
    with stage(f"{name} proofs") as now:
        kit = doubted(shop, result).kit
        proofs = [proof_data(each) for each in kit.proofs]
        job.papers.append(save(out / f"{name}-kit.json", as_text(kit_data(kit))))
        job.papers.append(save(out / f"{name}-proofs.json", as_text({"job": name, "proofs": proofs})))
        now.result = proofs_said(result)
    with stage(f"{name} quote") as now:
        job.papers += write_quote(shop, result, out)
        now.result = job.papers[-2].name
    with stage(f"{name} orders") as now:
        written = write_orders(shop, result, out)
        job.papers += written
        now.result = f"{sum(path.suffix == '.pdf' for path in written)} suppliers"
    return job


def proofs_said(result: KitResult) -> str:
    """How many proofs there are, by verdict: ``19 proofs: 18 pass, 1 WARN``."""
    count = Counter(proof.verdict.value for proof in result.kit.proofs)
    return f"{count.total()} proofs: " + ", ".join(f"{number} {name}" for name, number in count.most_common())


def _data(
    shop: Shop, out: Path, audit_said: str, vehicles: tuple[Trial, ...], jobs: list[Worked]
) -> dict[str, Any]:
    from tappetry.presentation.as_json import totals_data

    return {
        "home": str(shop.folder),
        "jobs_folder": str(shop.jobs),
        "out": str(out),
        "audit": audit_said,
        "vehicles": [
            {
                "id": each.id,
                "title": each.title,
                "application": each.identification.engine_as_built.application,
                "engine": each.identification.engine_as_found.application,
                "verdict": each.identification.verdict,
                "failures": list(each.failures()),
            }
            for each in vehicles
        ],
        "jobs": [
            {
                "file": str(job.file),
                "job": job.result.job.id if job.result else "",
                "proved_optimal": bool(job.result and job.result.kit.proved_optimal),
                "totals": totals_data(job.result.kit.totals)
                if job.result and job.result.kit.totals
                else None,
                "refusal": job.refusal.as_data() if job.refusal else None,
                "papers": [str(path) for path in job.papers],
            }
            for job in jobs
        ],
    }
