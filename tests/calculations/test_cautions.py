"""Where the work can hurt, the calculator says so, and leaves the last word to the maker."""

from __future__ import annotations

import pytest

from tappetry.calculations.registry import registry

SPRINGS = "installed-height seat-load open-load spring-fit coil-bind-margin coil-gap dual-spring spring-set"
BY_HAND = (
    "dead-centre-by-stop centre-of-equal-lifts intake-readings exhaust-readings lobe-asymmetry degree-fit"
    " lobe-wear measured-lobe choose-pushrod clay-clearance checking-spring-clearance pocket-radial-gap"
)
BOLTS = (
    "tension-from-torque torque-for-tension torque-from-friction assembly-torque preload-from-torque"
    " assembly-preload preload-gain bolt-reuse head-clamp"
)
WORK = {
    **dict.fromkeys(SPRINGS.split(), "compressed valve spring can kill"),
    **dict.fromkeys(BY_HAND.split(), "by hand"),
    **dict.fromkeys(BOLTS.split(), "maker"),
    **dict.fromkeys(["injector-size", "injector-duty", "flow-at-pressure", "fuel-blend"], "Fuel burns"),
    "cranking-pressure": "ignition and injection off",
    "gallery-pressure": "running engine",
    "choose-keyway": "read the centreline once more",
}


@pytest.mark.parametrize(("name", "words"), WORK.items())
def test_work_that_can_hurt_carries_its_caution(name: str, words: str) -> None:
    assert words in " ".join(registry().get(name).cautions)


def test_a_caution_is_one_sentence_or_more_and_said_once() -> None:
    for calculation in registry().calculations:
        assert len(set(calculation.cautions)) == len(calculation.cautions), calculation.name
        assert all(caution.endswith(".") for caution in calculation.cautions), calculation.name
