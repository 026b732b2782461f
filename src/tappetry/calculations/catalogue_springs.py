"""Calculations of valve springs: loads, heights, shims, surge, and round wire from first principles."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.sources import (
    CHAIN,
    DEFINITION,
    GEOMETRY,
    LINEAR_SPRING,
    practice,
    standard,
    textbook,
)
from tappetry.engineering import round_wire, shims, springs

CHAPTER = "Springs"
RISING = "Beehive, conical and ovate springs rise: use the maker's load and rate near the heights used."
INDEX = textbook("Shigley's Mechanical Engineering Design, chapter 10")
WAHL = textbook("Wahl, Mechanical Springs")
COMPRESSED = "A compressed valve spring can kill: use the proper tool and eye protection."

CALCULATIONS = (
    calculation(
        springs.installed_height,
        title="Installed height after changes of the stack",
        chapter=CHAPTER,
        formula="reference - thicker seat - shims + lock offset - retainer step",
        sources=(CHAIN,),
        cautions=("A prediction: the height is measured on every valve.",),
    ),
    calculation(
        springs.seat_load,
        title="Seat load",
        chapter=CHAPTER,
        formula="reference load + rate x (reference height - installed height)",
        sources=(LINEAR_SPRING,),
        cautions=(RISING,),
    ),
    calculation(
        springs.open_load,
        title="Open load",
        chapter=CHAPTER,
        formula="seat load + rate x lift at the valve",
        sources=(LINEAR_SPRING,),
        cautions=(RISING,),
    ),
    calculation(
        springs.free_length,
        title="Free length",
        chapter=CHAPTER,
        formula="reference height + reference load / rate",
        sources=(LINEAR_SPRING,),
        cautions=(RISING,),
    ),
    calculation(
        springs.coil_bind_margin,
        title="Coil-bind margin",
        chapter=CHAPTER,
        formula="installed height - solid height - lift at the valve",
        sources=(CHAIN, practice("1.5 mm where the spring states no minimum of its own")),
        cautions=(
            "Take the shortest height and the largest lift; of two springs, the one that binds first.",
        ),
    ),
    calculation(
        springs.spring_fit,
        title="Spring under a lift: both loads and the coil-bind margin",
        chapter=CHAPTER,
        formula="seat load, open load and coil-bind margin together",
        sources=(LINEAR_SPRING, CHAIN),
        cautions=(RISING,),
    ),
    calculation(
        shims.shim_stack,
        title="Shims for an installed height",
        chapter=CHAPTER,
        formula="the fewest, then the thinnest shims that bring the height into the band; at most two",
        sources=(practice("never more than two shims"),),
        cautions=("Recheck coil bind at the height that comes out.", COMPRESSED),
        example={"reference_height": 46.279e-3},
    ),
    calculation(
        springs.boost_valve_load,
        title="Force of boost on a closed valve",
        chapter=CHAPTER,
        outputs=("boost_load",),
        formula="boost x pi/4 x valve head diameter^2",
        sources=(GEOMETRY,),
        cautions=("Take it off the seat load. Before a turbine the pressure can exceed the boost.",),
    ),
    calculation(
        springs.surge_ratio,
        title="Surge ratio",
        chapter=CHAPTER,
        formula="spring's natural frequency / turns of the cam in the same time",
        sources=(DEFINITION, practice("8 to 9 in production, 13 for racing")),
    ),
    calculation(
        springs.surge_frequency,
        title="Surge frequency from rate and moving mass",
        chapter=CHAPTER,
        formula="1/2 sqrt(rate / active mass)",
        sources=(INDEX,),
    ),
    calculation(
        round_wire.spring_index,
        title="Spring index",
        chapter=CHAPTER,
        formula="mean diameter / wire diameter",
        sources=(DEFINITION,),
        cautions=("The mean diameter is neither the outside nor the inside diameter.",),
    ),
    calculation(
        round_wire.round_wire_rate,
        title="Rate of a round-wire spring",
        chapter=CHAPTER,
        outputs=("spring_rate",),
        formula="G d^4 / (8 D^3 n)",
        sources=(INDEX, standard("EN 13906-1")),
        cautions=("Constant pitch and diameter.",),
    ),
    calculation(
        round_wire.conical_spring_rate,
        title="First rate of a conical round-wire spring",
        chapter=CHAPTER,
        outputs=("spring_rate",),
        formula="G d^4 / (2 n (D1 + D2) (D1^2 + D2^2))",
        sources=(WAHL,),
        cautions=("Until the large coils close; above that the rate rises.",),
    ),
    calculation(
        round_wire.solid_height,
        title="Solid height of a round-wire spring",
        chapter=CHAPTER,
        formula="wire diameter x total coils, ground ends",
        sources=(INDEX,),
        cautions=("A press or the maker's sheet has the last word.", COMPRESSED),
    ),
    calculation(
        round_wire.wahl_factor,
        title="Wahl factor",
        chapter=CHAPTER,
        formula="(4C - 1)/(4C - 4) + 0.615/C",
        sources=(WAHL,),
    ),
    calculation(
        round_wire.wire_shear_stress,
        title="Shear stress of round wire",
        chapter=CHAPTER,
        formula="Kw 8 F D / (pi d^3)",
        sources=(INDEX, practice("about half the tensile strength at most")),
    ),
    calculation(
        round_wire.round_wire_surge,
        title="Surge frequency of a round-wire spring",
        chapter=CHAPTER,
        outputs=("surge_frequency",),
        formula="d / (2 pi D^2 n) sqrt(G / (2 rho))",
        sources=(INDEX, standard("EN 13906-1")),
    ),
)
