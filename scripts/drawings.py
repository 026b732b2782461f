"""Draws the pictures of the handbook's pages from its own calculations, for light and for dark paper."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from typing import Any

import numpy as np

from tappetry.calculations.registry import get, run
from tappetry.engineering.rise_laws import RISE_LAWS
from tappetry.quantities.units import from_si

Point = tuple[float, float]
DEGREE = math.pi / 180.0

STYLE = """\
<style>
text { font: 13px sans-serif; fill: #1f2328 }
.small { font-size: 11px }
.line, .a, .b, .c, .d, .e, .f { fill: none; stroke: #1f2328; stroke-width: 1.6 }
.thin { fill: none; stroke: #59636e; stroke-width: 1 }
.dash { fill: none; stroke: #59636e; stroke-width: 1; stroke-dasharray: 5 4 }
.body { fill: #8c959f; fill-opacity: .25; stroke: #1f2328; stroke-width: 1.6 }
.a { stroke: #0969da; stroke-width: 2.6 }
.b { stroke: #bc4c00; stroke-width: 2.6 }
.c { stroke: #1a7f37; stroke-width: 2.2 }
.d { stroke: #8250df; stroke-width: 2.2 }
.e { stroke: #bf3989; stroke-width: 2.2 }
.f { stroke: #6e7781; stroke-width: 2.2 }
@media (prefers-color-scheme: dark) {
text { fill: #f0f6fc }
.line, .body { stroke: #f0f6fc }
.thin, .dash { stroke: #9198a1 }
.a { stroke: #4493f8 }
.b { stroke: #f0883e }
.c { stroke: #3fb950 }
.d { stroke: #ab7df8 }
.e { stroke: #db61a2 }
.f { stroke: #8b949e }
}
</style>
"""


class Drawing:
    """An SVG picture, shape by shape; lengths in its own units, downwards positive."""

    def __init__(self, width: int, height: int, title: str) -> None:
        self.head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" '
            f'height="{height}" role="img">\n<title>{title}</title>\n{STYLE}'
        )
        self.shapes: list[str] = []

    def text(self, at: Point, words: str, anchor: str = "middle", kind: str = "") -> None:
        """Words at a point: its `start`, `middle` or `end`."""
        self._add("text", kind, f'x="{at[0]:.1f}" y="{at[1]:.1f}" text-anchor="{anchor}"', words)

    def path(self, points: Iterable[Point], kind: str = "line", *, closed: bool = False) -> None:
        """A line through points."""
        steps = " L".join(f"{x:.1f} {y:.1f}" for x, y in points)
        self._add("path", kind, f'd="M{steps}{" Z" if closed else ""}"')

    def circle(self, at: Point, radius: float, kind: str = "line") -> None:
        """A circle about a point."""
        self._add("circle", kind, f'cx="{at[0]:.1f}" cy="{at[1]:.1f}" r="{radius:.1f}"')

    def box(self, at: Point, width: float, height: float, kind: str = "body") -> None:
        """A box from its upper left corner."""
        self._add("rect", kind, f'x="{at[0]:.1f}" y="{at[1]:.1f}" width="{width:.1f}" height="{height:.1f}"')

    def measure(self, one: Point, other: Point, words: str, *, anchor: str = "start") -> None:
        """A size between two points, with a tick at either end and words beside its middle."""
        along = math.atan2(other[1] - one[1], other[0] - one[0])
        across = 4 * math.sin(along), -4 * math.cos(along)
        self.path((one, other), "thin")
        for x, y in (one, other):
            self.path(((x - across[0], y - across[1]), (x + across[0], y + across[1])), "thin")
        upright = abs(other[1] - one[1]) > abs(other[0] - one[0])
        middle = (one[0] + other[0]) / 2, (one[1] + other[1]) / 2
        shift = {"start": 8.0, "end": -8.0, "middle": 0.0}[anchor]
        self.text((middle[0] + shift, middle[1] + (4 if upright else -7)), words, anchor, "small")

    def _add(self, tag: str, kind: str, where: str, inside: str = "") -> None:
        said = f' class="{kind}"' if kind else ""
        self.shapes.append(f"<{tag}{said} {where}>{inside}</{tag}>" if inside else f"<{tag}{said} {where}/>")

    def svg(self) -> str:
        """The whole picture."""
        return self.head + "\n".join(self.shapes) + "\n</svg>\n"


def _example(name: str) -> Mapping[str, Any]:
    return get(name).example


def _around(middle: Point, radius: float, clockwise_from_top: float) -> Point:
    return (
        middle[0] + radius * math.sin(clockwise_from_top),
        middle[1] - radius * math.cos(clockwise_from_top),
    )


def _arc(middle: Point, radius: float, start: float, end: float) -> list[Point]:
    return [_around(middle, radius, float(angle)) for angle in np.linspace(start, end, 73)]


def timing() -> str:
    """The four events around the crank, at the seat durations of an invented card."""
    card = {
        "intake_duration": 270,
        "exhaust_duration": 276,
        "intake_centreline": 109,
        "exhaust_centreline": 117,
    }
    events = run("valve-events", {name: angle * DEGREE for name, angle in card.items()})
    drawing = Drawing(640, 400, "Valve timing around the crank: when each valve is open")
    middle = 320.0, 205.0
    drawing.circle(middle, 150, "thin")
    for angle, name in ((0.0, "top dead centre"), (math.pi, "bottom dead centre")):
        drawing.path((_around(middle, 60, angle), _around(middle, 158, angle)), "dash")
        drawing.text(_around(middle, 166 if angle == 0.0 else 178, angle), name)
    opens = {
        "a": (-events["intake_opens"], math.pi + events["intake_closes"], 132.0),
        "b": (math.pi - events["exhaust_opens"], 2 * math.pi + events["exhaust_closes"], 112.0),
    }
    for kind, (start, end, radius) in opens.items():
        drawing.path(_arc(middle, radius, start, end), kind)
    for kind, name, angle in (
        ("a", "intake opens", -events["intake_opens"]),
        ("a", "intake closes", math.pi + events["intake_closes"]),
        ("b", "exhaust opens", math.pi - events["exhaust_opens"]),
        ("b", "exhaust closes", events["exhaust_closes"]),
    ):
        radius = opens[kind][2]
        drawing.path((_around(middle, radius - 8, angle), _around(middle, 160, angle)), kind)
        right = math.sin(angle) > 0
        place = _around(middle, 168, angle)
        drawing.text((place[0] + (4 if right else -4), place[1] + 4), name, "start" if right else "end")
    overlap = run(
        "overlap", {"intake_opens": events["intake_opens"], "exhaust_closes": events["exhaust_closes"]}
    )["overlap"]
    drawing.path(_arc(middle, 80, -events["intake_opens"], events["exhaust_closes"]), "line")
    drawing.text((middle[0], 150), f"overlap {overlap / DEGREE:.0f}°", kind="small")
    drawing.text((middle[0], 215), "intake open: blue, outside", kind="small")
    drawing.text((middle[0], 232), "exhaust open: orange, inside", kind="small")
    drawing.text((middle[0], 249), "crank degrees, clockwise", kind="small")
    return drawing.svg()


def slider_crank() -> str:
    """Crank, rod and piston at one angle, to scale."""
    sizes = {"stroke": 0.091, "rod_length": 0.156}
    angle, scale = 52 * DEGREE, 1300.0
    throw, rod = sizes["stroke"] / 2 * scale, sizes["rod_length"] * scale
    fall = run("piston-fall", {**sizes, "crank_angle": angle})["piston_fall"] * scale
    drawing = Drawing(
        640, 400, "Slider-crank: crank angle, throw, rod and the piston's fall from top dead centre"
    )
    axis = 300.0, 322.0
    pin = _around(axis, throw, angle)
    top = axis[1] - throw - rod
    piston = axis[0], top + fall
    drawing.path(((axis[0], 396), (axis[0], 14)), "dash")
    drawing.circle(axis, throw, "thin")
    for x in (axis[0] - 66, axis[0] + 66):
        drawing.path(((x, 20), (x, 225)), "line")
    drawing.box((piston[0] - 64, piston[1] - 26), 128, 52)
    drawing.path((axis, pin), "b")
    drawing.path((pin, piston), "a")
    for at in (axis, pin, piston):
        drawing.circle(at, 5, "body")
    drawing.path(_arc(axis, 30, 0.0, angle), "thin")
    drawing.text((axis[0] - 8, axis[1] - 28), "crank angle", "end", "small")
    drawing.path(((piston[0] - 120, top), (piston[0], top)), "dash")
    drawing.path(((piston[0] - 120, piston[1]), (piston[0], piston[1])), "dash")
    drawing.measure((piston[0] - 110, top), (piston[0] - 110, piston[1]), "piston fall", anchor="end")
    drawing.text((piston[0] + 76, top + 4), "pin at top dead centre", "start", "small")
    drawing.path(((piston[0], top), (piston[0] + 72, top)), "dash")
    middle = (pin[0] + piston[0]) / 2, (pin[1] + piston[1]) / 2
    drawing.text((axis[0] - 10, middle[1] + 30), "rod length", "end")
    drawing.text((pin[0] + 12, pin[1] + 18), "throw = stroke / 2", "start")
    return drawing.svg()


def _coils(drawing: Drawing, x: float, top: float, bottom: float, coils: int = 7) -> None:
    """A spring seen from the side."""
    ends = np.linspace(top, bottom, 2 * coils + 1)
    drawing.path([(x + (26 if place % 2 else -26), float(y)) for place, y in enumerate(ends)], "line")
    for y in (top, bottom):
        drawing.path(((x - 34, y), (x + 34, y)), "a")


def spring_heights() -> str:
    """One spring free, closed, open and solid, to scale, with its loads."""
    example = dict(_example("spring-fit"))
    fit = run("spring-fit", example)
    free = run("free-length", {n: example[n] for n in ("reference_height", "reference_load", "spring_rate")})
    opened = example["installed_height"] - example["lift_at_valve"]
    heights = (
        ("free", free["free_length"], "no load"),
        ("valve closed", example["installed_height"], f"seat load {_pounds(fit['seat_load'])}"),
        ("full lift", opened, f"open load {_pounds(fit['open_load'])}"),
        ("solid", example["solid_height"], "coils touch"),
    )
    drawing = Drawing(770, 380, "A valve spring free, closed, at full lift and solid")
    scale, ground = 5000.0, 320.0
    tops = []
    for place, (name, height, load) in enumerate(heights):
        x, top = 90.0 + 190.0 * place, ground - height * scale
        tops.append((x, top))
        _coils(drawing, x, top, ground)
        drawing.measure((x + 44, top), (x + 44, ground), f"{from_si(height, 'in', 'length'):.3f} in")
        drawing.text((x, ground + 24), name)
        drawing.text((x, ground + 42), load, kind="small")
    (closed, full, solid) = tops[1:]
    drawing.path(((closed[0] + 30, closed[1]), (full[0] + 36, closed[1])), "dash")
    drawing.measure((full[0] - 44, closed[1]), (full[0] - 44, full[1]), "lift", anchor="end")
    drawing.path(((full[0] + 30, full[1]), (solid[0] + 36, full[1])), "dash")
    margin = from_si(fit["coil_bind_margin"], "in", "length")
    drawing.measure(
        (solid[0] - 44, full[1]), (solid[0] - 44, solid[1]), f"margin {margin:.3f} in", anchor="end"
    )
    return drawing.svg()


def _pounds(newtons: float) -> str:
    return f"{from_si(newtons, 'lbf', 'force'):.0f} lbf"


def joint() -> str:
    """Force over lengthening of bolt and joint, with an outer load."""
    example = dict(_example("joint-loads"))
    preload, outer = example["bolt_preload"], example["external_load"]
    loads = run("joint-loads", example)
    drawing = Drawing(640, 380, "Bolted joint: bolt and clamped parts under a preload and an outer load")
    stretch, squeeze = preload / example["bolt_stiffness"], preload / example["joint_stiffness"]
    across, up = 400.0 / (stretch + squeeze), 240.0 / loads["bolt_load"]
    left, ground = 90.0, 330.0

    def at(length: float, force: float) -> Point:
        return left + length * across, ground - force * up

    more = (loads["bolt_load"] - preload) / example["bolt_stiffness"]
    drawing.path((at(0, 0), (600, ground)), "thin")
    drawing.path((at(0, 0), (left, 40)), "thin")
    drawing.text((left - 8, 36), "force", "end")
    drawing.text((600, ground + 34), "stretch of the bolt, squeeze of the parts", "end")
    drawing.path((at(0, 0), at(stretch + more, loads["bolt_load"])), "a")
    drawing.path((at(stretch, preload), at(stretch + squeeze, 0)), "b")
    drawing.path((at(0, preload), at(stretch + squeeze, preload)), "dash")
    drawing.text((left - 8, at(0, preload)[1] + 4), "preload", "end")
    x = stretch + more
    drawing.path((at(x, 0), at(x, loads["clamp_load"])), "dash")
    drawing.path((at(0, loads["bolt_load"]), at(x, loads["bolt_load"])), "dash")
    drawing.text((left - 8, at(0, loads["bolt_load"])[1] + 4), "bolt load", "end")
    drawing.path((at(0, loads["clamp_load"]), at(x, loads["clamp_load"])), "dash")
    drawing.text((left - 8, at(0, loads["clamp_load"])[1] + 4), "clamp left", "end")
    drawing.measure(
        at(x, loads["clamp_load"]),
        at(x, loads["bolt_load"]),
        f"outer load {outer / 1e3:.0f} kN",
        anchor="start",
    )
    drawing.text((at(stretch / 2, preload / 2)[0] + 12, at(0, preload / 2)[1] + 12), "bolt", "start")
    beside = at(stretch + 0.66 * squeeze, 0.34 * preload)
    drawing.text((beside[0] + 10, beside[1]), "clamped parts", "start")
    drawing.text(
        (at(0, 0)[0], ground + 18), f"joint constant {loads['joint_constant']:.2f}", "start", "small"
    )
    return drawing.svg()


def cam_laws() -> str:
    """Acceleration of each law over the rise."""
    drawing = Drawing(640, 360, "Acceleration of cam laws over the rise")
    left, middle, across, up = 70.0, 180.0, 500.0, 18.0
    x = np.linspace(0.0, 1.0, 201)
    drawing.path(((left, middle), (left + across, middle)), "thin")
    drawing.path(((left, 30), (left, 330)), "thin")
    for size in (-6, -3, 3, 6):
        drawing.text((left - 8, middle - size * up + 4), str(size), "end", "small")
        drawing.path(((left - 4, middle - size * up), (left, middle - size * up)), "thin")
    for place, (law, kind) in enumerate(zip(RISE_LAWS, "abcdef", strict=True)):
        found = run("rise-motion", {"rise_fraction": x, "rise_law": law})["rise_acceleration"]
        drawing.path(
            [(left + across * float(at), middle - up * float(a)) for at, a in zip(x, found, strict=True)],
            kind,
        )
        y = 44.0 + 18.0 * place
        drawing.path(((left + 370, y - 4), (left + 400, y - 4)), kind)
        drawing.text((left + 408, y), law, "start", "small")
    drawing.text((left, 20), "acceleration, in lifts over flank angle squared", "start", "small")
    drawing.text((left + across, 348), "share of the rise, 0 to 1", "end", "small")
    return drawing.svg()


DRAWINGS: dict[str, Callable[[], str]] = {
    "timing": timing,
    "slider-crank": slider_crank,
    "spring-heights": spring_heights,
    "joint": joint,
    "cam-laws": cam_laws,
}
