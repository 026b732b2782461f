"""Power of a simulated engine, brought to the air of the standards that dynamometers print."""

from __future__ import annotations

from dataclasses import dataclass

from tappetry.engineering.power_correction import (
    din_70020_factor,
    iso_1585,
    sae_j607_factor,
    sae_j1349_factor,
)
from tappetry.simulation.engine import Air


@dataclass(frozen=True, slots=True)
class Correction:
    """One standard's factor for an air.

    Attributes
    ----------
    standard : str
    air : str
        That of the standard, in words.
    factor : float
        By which power and torque at full load are multiplied. [1]
    may_be_used : bool
        The standard lets a factor of this size be used, or sets no limit.
    """

    standard: str
    air: str
    factor: float
    may_be_used: bool


def corrections(air: Air) -> tuple[Correction, ...]:
    """The factors of each standard for the air that an engine was simulated in; for full load alone.

    Raises
    ------
    OutOfRange
        Such an air is none that the standards speak of.
    """
    dry, warm = air.dry_pressure, air.temperature
    iso = iso_1585(dry, warm)
    return (
        Correction("SAE J1349", "99 kPa dry, 25 degC", float(sae_j1349_factor(dry, warm)), True),
        Correction("SAE J607", "29.92 inHg dry, 60 degF", float(sae_j607_factor(dry, warm)), True),
        Correction(
            "ISO 1585",
            "99 kPa dry, 25 degC",
            float(iso.correction_factor),
            float(iso.validity_excess) == 0.0,
        ),
        Correction("DIN 70020", "1013.25 mbar, 20 degC", float(din_70020_factor(air.pressure, warm)), True),
    )
