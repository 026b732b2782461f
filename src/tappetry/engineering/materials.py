"""Steel, as the handbook takes it where nobody says otherwise."""

from __future__ import annotations

STEEL_MODULUS = 207e9
"""Young's modulus of steel (Shigley's Mechanical Engineering Design, table A-5, from memory). [Pa]"""

STEEL_POISSON_RATIO = 0.3
"""Poisson's ratio of steel, as contact formulas take it (textbook, from memory). [1]"""

STEEL_DENSITY = 7850.0
"""Density of spring steel (EN 13906-1, from memory). [kg/m3]"""
