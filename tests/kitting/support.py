"""Jobs on the invented shop, as tests state them: an application, a plan, and what was seen at check-in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from itertools import product
from typing import Any

import yaml

from tappetry.jobs.reader import read_job_text
from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.services.kits import KitResult, kit_for_job
from tappetry.services.shop import Shop, demo_folder, open_shop


@cache
def demo() -> Shop:
    """The invented shop, read once."""
    return open_shop(demo_folder())


HEALTHY = {
    "compression-spread": "6 %",
    "leak-down": "7 %",
    "oil-pressure-idle": "160 kPa",
    "oil-pressure-2000": "310 kPa",
    "oil-metal": False,
    "fuel-octane": 93,
}
CASTINGS = {
    "A01": "4417-A", "A02": "4417-B", "A03": "4417-A", "A04": "4417-B", "A05": "4417-D", "A06": "5128-D",
    "A07": "5128", "A08": "5128", "A09": "5128-D", "A10": "6240-D", "A11": "6240-D", "A12": "6240",
    "A13": "6240-D", "A14": "5128",
}  # fmt: skip
PHASER = {"A06", "A07", "A08", "A09", "A10", "A11", "A12", "A13"}
DEACT = {"A05", "A06", "A09", "A10", "A11", "A13"}
CAMS = {"A": ("B1", "B2", "B3", "B4"), "O": ("O1",), "M": ("M1",)}
APPLICATIONS = (*CASTINGS, "OS-E", "OS-L", "ML-E", "ML-L")


@dataclass(frozen=True)
class Ask:
    """A plan for one application of the invented shop, and what is known beyond check-in."""

    application: str
    cam: str
    phaser: str = "none"
    deact: str = "none"
    heads: str = "off"
    use: str = "daily"
    package: str = "standard"
    mileage: str = "90000 km"
    facts: Mapping[str, Any] = field(default_factory=dict, hash=False)
    signatures: Mapping[str, str] = field(default_factory=dict, hash=False)
    plan: Mapping[str, Any] = field(default_factory=dict, hash=False)

    def __str__(self) -> str:
        wishes = (self.application, self.cam, self.phaser, self.deact, self.heads, self.use, self.package)
        return " ".join(wishes)

    def as_yaml(self) -> str:
        """The job as a person writes it."""
        return yaml.safe_dump(self.as_data(), sort_keys=False, allow_unicode=True)

    def as_data(self) -> dict[str, Any]:
        facts: dict[str, Any] = {
            "application": _fact(self.application, "decoded"),
            "mileage": _fact(self.mileage, "seen"),
            "age": _fact(12, "decoded"),
            "four-wheel-drive": _fact(False, "seen"),
            "exhaust-flap": _fact(False, "seen"),
            "emission-papers-wanted": _fact(False, "told"),
            "phaser-rattle": _fact(False, "seen"),
            "detonation-history": _fact(False, "seen"),
            "lifters-sound": _fact(True, "seen"),
            "lifter-guides-sound": _fact(True, "seen"),
            **{name: _fact(value, "measured") for name, value in HEALTHY.items()},
        }
        if self.application in CASTINGS:
            facts["block-casting"] = _fact(CASTINGS[self.application], "seen")
        if self.application == "A11":
            facts["transmission"] = _fact("auto 8", "seen")
        facts |= {
            name: fact if isinstance(fact, dict) else _fact(fact, "measured")
            for name, fact in self.facts.items()
        }
        plan = {
            "cam": self.cam,
            "phaser": self.phaser,
            "deact": self.deact,
            "heads": self.heads,
            "use": self.use,
            "package": self.package,
            **self.plan,
        }
        return {
            "job": f"{self.application}-{self.cam}",
            "date": "2026-03-02",
            "place": "Mardle county",
            "road_use": True,
            "facts": {name: fact for name, fact in facts.items() if fact["value"] is not None},
            "plan": plan,
            "signatures": dict(self.signatures),
        }

    def job(self, shop: Shop | None = None) -> Job:
        """The job, read from its text as any other."""
        job, _ = read_job_text(self.as_yaml(), (shop or demo()).knowledge, "job.yaml")
        return job

    def kit(self, shop: Shop | None = None) -> KitResult:
        """The kit of the job, by the service that the program itself calls."""
        return kit_for_job(shop or demo(), self.job(shop))


def _fact(value: Any, grade: str) -> dict[str, Any]:
    return {"value": value, "grade": grade, "source": "check-in"}


def every_plan(application: str) -> Iterator[Ask]:
    """Every sensible plan of an application, for daily use and the standard package."""
    phasers = ("keep-full", "keep-limited", "remove") if application in PHASER else ("none",)
    deacts = ("keep", "remove") if application in DEACT else ("none",)
    for cam, phaser, deact, heads in product(CAMS[application[0]], phasers, deacts, ("off", "on")):
        yield Ask(application, cam, phaser, deact, heads)


def bought(kit: Kit) -> dict[str, int]:
    """Units by part number."""
    return {line.part: line.quantity for line in kit.lines}


def state_of(kit: Kit, need: str) -> str:
    """How a need is met that nothing is bought for."""
    return next((kept.state for kept in kit.kept if kept.need == need), "")
