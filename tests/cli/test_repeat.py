"""`tappetry repeat`: whether what was kept comes out the same."""

from __future__ import annotations

import json

import pytest

from tappetry.services import simulate as service
from tappetry.services.shop import Shop
from tappetry.simulation.engine import Mesh
from tests.cli.calling import call


@pytest.mark.slow
def test_a_kept_result_is_made_again(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(service, "Mesh", lambda: Mesh(4, 6, 5, 10))
    said = call("simulate", "B51", "--cam", "F51", "--cam", "B1", "--speed", 4000, "--keep", "two-cams")
    assert said.code == 0
    assert "two-cams.json" in said.err
    again = call("repeat", "two-cams")
    assert again.code == 0
    assert "B51 with F51, factory B51: comes out the same, to the last digit" in again.words
    assert "B51 with B1, Hedger 208/214: comes out the same, to the last digit" in again.words
    file = shop.folder / "results" / "two-cams.json"
    data = json.loads(file.read_text())
    data["model"] = "another"
    for point, factor in zip((each["points"][0] for each in data["curves"]), (1.001, 1.1), strict=True):
        point["peak_pressure"] *= factor
    file.write_text(json.dumps(data))
    told = call("repeat", "two-cams")
    assert "comes out the same within what its cycles were settled to (0.30%): peak pressure" in told.words
    assert "comes out otherwise: peak pressure at 4000 rpm by 9.09%" in told.words
    assert "it was made with another state of the model" in told.words
    first, second = call("repeat", file, "--json").data["curves"]
    assert (first["same"], first["same_as_settled"]) == (False, True)
    assert (second["same"], second["same_as_settled"], second["quantity"]) == (False, False, "peak_pressure")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("repeat", "nothing"), "there is no such result (read: nothing)"),
        (
            ("simulate", "B51", "--sweep", "advance=0..4..2", "--keep", "mine"),
            "tappetry simulate, --sweep: that does not go together (read: --keep); expected without it",
        ),
        (("simulate", "B51", "--shelf", "--keep", "mine"), "that does not go together (read: --keep)"),
        (("simulate", "B51", "--valves", "--keep", "mine"), "valve trains know nothing of it (read: --keep)"),
    ],
)
def test_what_cannot_be_kept_or_repeated_is_told(shop: Shop, words: tuple[str, ...], said: str) -> None:
    answer = call(*words)
    assert answer.code == 3
    assert said in answer.words
