"""Charts: valid by their schema, the same bytes, units at the axes, the values of the data."""

from __future__ import annotations

import json
import math
import re
import socket
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import altair
import jsonschema
import numpy as np
import pypdfium2
import pytest
import typst

from tappetry.engineering.timing import valve_events
from tappetry.presentation.charts.chart import (
    Chart,
    Column,
    as_table,
    png,
    specification,
    specification_text,
    svg,
    write,
)
from tappetry.presentation.charts.front import cost_by_day
from tappetry.presentation.charts.lines import distinct
from tappetry.presentation.charts.margins import margins
from tappetry.presentation.charts.simulated import pressure_volume, torque_power, volumetric_efficiency
from tappetry.presentation.charts.springs import load_over_lift
from tappetry.presentation.charts.theme import DARK, DASHES, LIGHT, Theme, narrow
from tappetry.presentation.charts.timing import timing_diagram
from tappetry.presentation.charts.valves import approach, lift_and_flow
from tappetry.presentation.charts.waves import pressure_at_valves
from tappetry.presentation.measures import INCH
from tappetry.records.problems import BadInput
from tappetry.records.verdict import Proof, Verdict
from tappetry.services.cams import CamCard
from tappetry.services.drawings import Closeness, SpringTravel
from tappetry.services.valves import Approach
from tappetry.simulation.engine import Valve
from tappetry.simulation.waves import AtValve, Waves

pytestmark = pytest.mark.slow

SPEEDS = (1500.0, 3000.0, 4500.0)
SCHEMA = json.loads(
    (Path(altair.__file__).parent / "vegalite" / "v6" / "schema" / "vega-lite-schema.json").read_text()
)


def simulated(cam: str, torques: tuple[float, ...]) -> Any:
    """As much of a simulated curve as a chart looks at."""
    points = [
        SimpleNamespace(
            engine_speed=speed * math.pi / 30.0,
            brake_torque=torque,
            brake_power=torque * speed * math.pi / 30.0,
            volumetric_efficiency=torque / 450.0,
        )
        for speed, torque in zip(SPEEDS, torques, strict=True)
    ]
    return SimpleNamespace(
        described=SimpleNamespace(variant="V", cam=cam, cam_name=f"grind {cam}"), points=points
    )


FOUND = (simulated("A", (300.0, 380.0, 350.0)), simulated("B", (280.0, 385.0, 377.0)))

PROOFS = (
    Proof("a", "spring is not solid", Verdict.PASS, "in", value=0.12, limit=0.06, margin=0.06, band=0.02),
    Proof("b", "quench works", Verdict.WARN, "mm", value=1.8, limit=1.5, margin=-0.3, band=0.12),
    Proof("c", "not measured", Verdict.UNKNOWN, "mm", limit=1.5),
)


def priced(days: int, total: str, landed: str) -> Any:
    """As much of a point of a front as a chart looks at."""
    totals = SimpleNamespace(total=Decimal(total), currency="USD")
    kit = SimpleNamespace(totals=totals, landed_cost=Decimal(landed))
    return SimpleNamespace(days=days, day=date(2026, 3, 2 + days), kit=kit)


def valve(nose: float) -> Valve:
    return Valve(
        lifts=(0.0, 5e-3, 10e-3), areas=(0.0, 4e-4, 6e-4), lobe_lift=8e-3, lobe_exponent=5.5,
        lobe_half_width=math.radians(160.0), nose=math.radians(nose), rocker_ratio=1.5, hot_lash=0.2e-3,
    )  # fmt: skip


DESCRIBED: Any = SimpleNamespace(
    variant="V",
    cam="A",
    cam_name="grind A",
    engine=SimpleNamespace(intake=valve(109.0), exhaust=valve(607.0)),
)
FRONT: Any = SimpleNamespace(points=(priced(5, "4866.66", "1464.30"), priced(3, "4900.98", "1470.30")))

PAIRS = {
    "intake": Closeness(
        Approach(np.array([-0.1, 0.0, 0.1]), np.array([3e-3, 4e-3, 5e-3]), np.array([7e-3, 7e-3, 7.5e-3])),
        retard=0.0,
        limit=2e-3,
    ),
    "exhaust": Closeness(
        Approach(np.array([-0.1, 0.0, 0.1]), np.array([5e-3, 4e-3, 3e-3]), np.array([8e-3, 7.5e-3, 8e-3])),
        retard=0.1,
        limit=2.5e-3,
    ),
}
CARD = CamCard(
    cam="A",
    name="grind A",
    use="tow",
    factory=False,
    chosen=True,
    intake_duration=math.radians(218),
    exhaust_duration=math.radians(226),
    separation=math.radians(113),
    intake_centreline=math.radians(109),
    exhaust_centreline=math.radians(117),
    overlap=math.radians(48),
    intake_lift=14e-3,
    exhaust_lift=14e-3,
    at_valve=True,
    events=valve_events(math.radians(218), math.radians(226), math.radians(109), math.radians(117)),
)

WAVES = Waves(
    *(
        AtValve(1e5 + np.arange(720.0), opens=math.radians(at), closes=math.radians(at + 250), returns=(at,))
        for at in (700.0, 480.0)
    ),
    engine_speed=300.0,
)

CHARTS = {
    "waves": pressure_at_valves("Cylinder 1", WAVES),
    "margins": margins(PROOFS),
    "cost by day": cost_by_day(FRONT, "J"),
    "lift and flow": lift_and_flow(DESCRIBED),
    "approach": approach(PAIRS),
    "approach in inches": approach(PAIRS, INCH),
    "spring": load_over_lift(SpringTravel(500.0, 60e3, 14e-3, 17e-3)),
    "timing": timing_diagram([CARD]),
    "torque in pounds": torque_power(FOUND, INCH),
    "torque and power": torque_power(FOUND),
    "volumetric efficiency": volumetric_efficiency(FOUND),
    "p-V": pressure_volume(
        "Cylinder 1", (0.0, math.pi, 2 * math.pi), (50e-6, 700e-6, 50e-6), (5e6, 4e5, 1e5)
    ),
}


@pytest.fixture(params=list(CHARTS))
def chart(request: pytest.FixtureRequest) -> Chart:
    return CHARTS[request.param]


def nodes(tree: Any) -> Iterator[dict[str, Any]]:
    """Every object of a specification, below itself."""
    if isinstance(tree, dict):
        yield tree
    for each in tree.values() if isinstance(tree, dict) else tree if isinstance(tree, list) else ():
        yield from nodes(each)


def drawn_rows(made: dict[str, Any]) -> list[dict[str, Any]]:
    """The data of a specification, wherever they stand in it."""
    inside = [*made.get("datasets", {}).values()]
    inside += [node["data"]["values"] for node in nodes(made) if "values" in node.get("data", {})]
    assert inside
    assert all(each == inside[0] for each in inside)
    return list(inside[0])


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
def test_a_specification_keeps_the_published_schema(chart: Chart, theme: Theme) -> None:
    made = specification(chart, theme)
    jsonschema.Draft7Validator(SCHEMA).validate(made)
    assert made["config"]["background"] == theme.paper


def test_the_schema_would_refuse_what_is_none(chart: Chart) -> None:
    made = {**specification(chart), "width": "as wide as a barn"}
    assert not jsonschema.Draft7Validator(SCHEMA).is_valid(made)


def test_the_same_data_give_the_same_bytes(chart: Chart) -> None:
    assert specification_text(chart) == specification_text(replace(chart))
    assert svg(chart) == svg(chart)
    assert png(chart) == png(chart)
    assert specification_text(chart) != specification_text(chart, DARK)


def test_other_processes_write_the_same_bytes() -> None:
    program = (
        "from tests.presentation.test_charts import CHARTS;"
        "from tappetry.presentation.charts.chart import specification_text as text;"
        "print(*map(text, CHARTS.values()), sep='\\n')"
    )
    root = Path(__file__).parents[2]
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=root, capture_output=True, encoding="utf-8", check=True,
        env={"PYTHONHASHSEED": "7", "PYTHONIOENCODING": "utf-8"},
    )  # fmt: skip
    assert done.stdout.splitlines() == [specification_text(each) for each in CHARTS.values()]


def test_nothing_is_drawn_that_the_table_does_not_tell(chart: Chart) -> None:
    table = as_table(chart)
    names = [column["name"] for column in table["columns"]]
    assert drawn_rows(specification(chart)) == [dict(zip(names, row, strict=True)) for row in table["rows"]]


def test_every_axis_names_its_unit(chart: Chart) -> None:
    headings = {f"{column.title} [{column.unit}]" for column in chart.columns if column.unit}
    axes = [
        (node["encoding"][name]["axis"], node["encoding"][name]["type"])
        for node in nodes(specification(chart))
        for name in ("x", "y")
        if "axis" in node.get("encoding", {}).get(name, {})
    ]
    numbers = [
        axis.get("title") for axis, kind in axes if kind == "quantitative" and axis.get("labels", True)
    ]
    assert numbers
    assert set(numbers) <= headings


def test_torque_and_power_are_those_of_the_curves() -> None:
    rows = torque_power(FOUND).rows
    assert len(rows) == 6
    cam, speed, torque, power = rows[4]
    assert cam == "B, grind B"
    assert speed == pytest.approx(3000.0)
    assert torque == 385.0
    assert power == pytest.approx(385.0 * 100.0 * math.pi / 1e3)
    assert [row[2] for row in volumetric_efficiency(FOUND).rows[:3]] == pytest.approx(
        [300 / 4.5, 380 / 4.5, 350 / 4.5]
    )


def test_pressure_and_volume_are_in_the_units_of_their_columns() -> None:
    assert CHARTS["p-V"].rows[1] == pytest.approx((180.0, 700.0, 400.0))


def test_margins_are_shares_of_the_limit_and_what_has_no_number_is_left_out() -> None:
    first, second = (dict(zip([c.name for c in CHARTS["margins"].columns], row, strict=True))
                     for row in CHARTS["margins"].rows)  # fmt: skip
    assert (first["proof"], first["value"], first["limit"], first["unit"]) == (
        "spring is not solid",
        0.12,
        0.06,
        "in",
    )
    assert [first[name] for name in ("margin_percent", "low_percent", "high_percent")] == pytest.approx(
        [100.0, 100 * 0.04 / 0.06, 100.0]
    )
    assert [second[name] for name in ("margin_percent", "low_percent", "high_percent")] == pytest.approx(
        [-20.0, -28.0, -12.0]
    )


def test_a_front_is_drawn_at_its_days_and_sums() -> None:
    assert CHARTS["cost by day"].rows == (
        (5, "2026-03-07", 4866.66, 1464.30),
        (3, "2026-03-05", 4900.98, 1470.30),
    )


def test_lift_and_flow_are_those_of_the_valves() -> None:
    rows = CHARTS["lift and flow"].rows
    top = max((row for row in rows if row[0] == "intake"), key=lambda row: float(row[2] or 0.0))
    assert top[1] == pytest.approx(109.0, abs=1.01)
    assert top[2] == pytest.approx(8.0 * 1.5 - 0.2, abs=0.01)
    assert top[3] == pytest.approx(6.0)
    out = max((row for row in rows if row[0] == "exhaust"), key=lambda row: float(row[2] or 0.0))
    assert out[1] == pytest.approx(-113.0, abs=1.01)


def test_a_clearance_stands_beside_its_limit() -> None:
    rows = CHARTS["approach"].rows
    assert rows[2] == ("intake valve", *(pytest.approx(each) for each in (math.degrees(0.1), 5.0, 2.5, 2.0)))
    assert (rows[3][0], *rows[3][2:]) == ("piston below intake valve", pytest.approx(7.0), None, None)
    assert rows[6][4] == pytest.approx(2.5)
    inches = CHARTS["approach in inches"].rows
    assert [each[2] for each in inches] == [pytest.approx(float(each[2] or 0) / 25.4) for each in rows]


def test_a_spring_is_drawn_at_its_seat_at_full_lift_and_solid() -> None:
    assert CHARTS["spring"].rows == (
        ("on the seat", 0.0, pytest.approx(500.0)),
        ("at full lift", pytest.approx(14.0), pytest.approx(500.0 + 14 * 60)),
        ("solid", pytest.approx(17.0), pytest.approx(500.0 + 17 * 60)),
    )


def test_a_timing_diagram_has_the_events_of_the_card() -> None:
    exhaust, intake = CHARTS["timing"].rows
    assert exhaust[1:5] == ("exhaust", pytest.approx(-230.0), pytest.approx(-4.0), pytest.approx(226.0))
    assert exhaust[5] == "50° BBDC to 4° BTDC"
    assert intake[1:5] == ("intake", pytest.approx(0.0), pytest.approx(218.0), pytest.approx(218.0))
    assert str(intake[5]).endswith("38° ABDC")


def test_engines_with_one_camshaft_are_told_apart() -> None:
    one, other = simulated("A", (300.0, 380.0, 350.0)), simulated("A", (280.0, 385.0, 377.0))
    other.described.variant = "W"
    assert {row[0] for row in torque_power((one, other)).rows} == {"V, A", "W, A"}
    assert {row[0] for row in volumetric_efficiency((one, other)).rows} == {"V, A", "W, A"}
    assert {row[0] for row in torque_power((one,)).rows} == {"A, grind A"}


def test_torque_is_told_in_the_units_of_whoever_looks() -> None:
    metric, inch = CHARTS["torque and power"], CHARTS["torque in pounds"]
    assert [column.heading for column in inch.columns[2:]] == ["torque [lb·ft]", "power [hp]"]
    for one, other in zip(metric.rows, inch.rows, strict=True):
        assert float(other[2] or 0) == pytest.approx(float(one[2] or 0) * 0.737562, rel=1e-6)
        assert float(other[3] or 0) == pytest.approx(float(one[3] or 0) / 0.745699872, rel=1e-6)


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
def test_a_narrow_chart_fits_a_telephone(chart: Chart, theme: Theme) -> None:
    wide, slim = (re.search(r'width="(\d+)"', svg(chart, each)) for each in (theme, narrow(theme)))
    assert wide is not None
    assert slim is not None
    assert int(slim[1]) < int(wide[1])
    assert int(slim[1]) <= 480


def test_series_are_told_apart_without_colour() -> None:
    encodings = [
        node["encoding"] for node in nodes(specification(CHARTS["torque and power"])) if "encoding" in node
    ]
    assert len(encodings) == 2
    for encoding in encodings:
        dashes = encoding["strokeDash"]["scale"]["range"]
        assert len({tuple(each) for each in dashes}) == 2
    assert len(set(DASHES)) == len(LIGHT.series) == len(DARK.series) == len(set(LIGHT.series))


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
def test_every_line_stands_out_from_the_paper(theme: Theme) -> None:
    """At least 3 to 1 (WCAG 2.2, 1.4.11); words 4.5 to 1 (1.4.3)."""
    for colour in (*theme.series, *theme.outcomes.values()):
        assert contrast(colour, theme.paper) >= 3.0, colour
    for colour in (theme.ink, theme.soft):
        assert contrast(colour, theme.paper) >= 4.5, colour


def contrast(one: str, other: str) -> float:
    """The contrast ratio of WCAG 2.2."""

    def luminance(colour: str) -> float:
        shares = [int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5)]
        linear = [share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_a_chart_is_drawn_without_a_network(chart: Chart, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("a chart opened a connection")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    drawn = svg(chart)
    assert chart.title in drawn
    assert "<image" not in drawn
    assert '"url"' not in specification_text(chart)


def test_the_renderer_may_read_no_address() -> None:
    def draw(data: Any, theme: Theme) -> Any:
        return altair.Chart(altair.UrlData("http://127.0.0.1:9/points.json")).mark_point().encode(x="a:Q")

    fetching = Chart("fetched", (Column("a", "a", "1"),), ((1.0,),), draw)
    with pytest.raises(ValueError, match=r"url not allowed: http://127.0.0.1:9/points.json"):
        svg(fetching)


def test_a_picture_is_what_its_ending_says(tmp_path: Path) -> None:
    chart = CHARTS["torque and power"]
    assert write(chart, tmp_path / "a.svg").read_text(encoding="utf-8").startswith("<svg")
    assert write(chart, tmp_path / "a.PNG").read_bytes().startswith(b"\x89PNG\r\n\x1a\n")


def test_another_ending_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput) as refused:
        write(CHARTS["p-V"], tmp_path / "a.jpg")
    for told in ("--chart", "no such kind of picture", "a.jpg", ".svg or .png"):
        assert told in str(refused.value)


def test_a_chart_of_nothing_is_refused() -> None:
    with pytest.raises(BadInput) as refused:
        torque_power(())
    assert "there is nothing to draw" in str(refused.value)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused_with_its_place(value: float) -> None:
    with pytest.raises(BadInput) as refused:
        pressure_volume("Cylinder 1", (0.0, 1.0), (1e-4, 2e-4), (1e5, value))
    for told in ("Cylinder 1", "row 2, pressure_kpa", str(value), "a finite number"):
        assert told in str(refused.value)


def test_more_lines_than_can_be_told_apart_are_refused() -> None:
    names = list("abcdefg")
    assert distinct([*names[:6], "a"]) == names[:6]
    with pytest.raises(BadInput) as refused:
        distinct(names)
    for told in ("7", "at most 6"):
        assert told in str(refused.value)


def test_the_program_starts_without_the_libraries_of_charts() -> None:
    program = (
        "import sys; from tappetry.cli import main; main(['simulate', '--help']);"
        "sys.exit(int(bool({'altair', 'vl_convert'} & set(sys.modules))))"
    )
    assert subprocess.run([sys.executable, "-c", program], capture_output=True, check=False).returncode == 0


def test_a_paper_sets_the_same_drawing_with_its_own_letters(tmp_path: Path) -> None:
    write(CHARTS["torque and power"], tmp_path / "chart.svg")
    (tmp_path / "paper.typ").write_text('#set page(height: auto)\n#image("chart.svg", width: 100%)')
    paper = typst.compile(tmp_path / "paper.typ", root=tmp_path, ignore_system_fonts=True)
    assert isinstance(paper, bytes)
    document = pypdfium2.PdfDocument(paper)
    words = "".join(document[0].get_textpage().get_text_range().splitlines())  # turned words are broken
    document.close()
    for told in ("Torque and power, V", "torque [N·m]", "power [kW]", "engine speed [rpm]", "B, grind B"):
        assert told in words
