"""What the equations of the simulation were taken from: kept with every result, beside its numbers."""

from __future__ import annotations

MEMORY = "from memory"

SOURCES = {
    "energy of the gas": "McBride, Gordon and Reno, NASA TM-4513 (1993)",
    "heat to the cylinder walls": f"Woschni, SAE 670931, {MEMORY}",
    "law of the fire": f"Wiebe; Heywood, Internal Combustion Engine Fundamentals, chapter 9, {MEMORY}",
    "knock": f"Livengood and Wu; Douaud and Eyzat, SAE 780080, {MEMORY}",
    "friction": f"Patton, Nitschke and Heywood, SAE 890836, {MEMORY}",
    "burning velocity": f"Rhodes and Keck, SAE 850047, {MEMORY}",
    "spread of the fire from cycle to cycle": (
        f"Tabaczynski; Hires, Tabaczynski and Novak, SAE 780232; Hill and Kapil (1989), {MEMORY}"
    ),
    "geometry, flow of ports, lobes, pipes, walls, fuel, fire": (
        "the shop's text at the stated versions, and the engine in numbers"
    ),
}
"""By what they are for."""
