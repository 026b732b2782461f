"""What the viscosity grade of an engine oil promises, hot and cold."""

from __future__ import annotations

from dataclasses import dataclass

from tappetry.engineering.oil_viscosity import SQUARE_MILLIMETRE
from tappetry.engineering.ranges import Kelvin, OutOfRange, PascalSecond, SquareMetrePerSecond

_MILLI = 1e-3
_ICE = 273.15
_GRADES = {  # mm2/s at 100 degC: least, below; mPa.s at 150 degC and high shear: least
    "8": (4.0, 6.1, 1.7),
    "12": (5.0, 7.1, 2.0),
    "16": (6.1, 8.2, 2.3),
    "20": (6.9, 9.3, 2.6),
    "30": (9.3, 12.5, 2.9),
    "40": (12.5, 16.3, 3.7),
    "50": (16.3, 21.9, 3.7),
    "60": (21.9, 26.1, 3.7),
}
_WINTER_GRADES = {  # cranking mPa.s at degC; pumping degC; mm2/s at 100 degC: least
    "0W": (6200.0, -35.0, -40.0, 3.8),
    "5W": (6600.0, -30.0, -35.0, 3.8),
    "10W": (7000.0, -25.0, -30.0, 4.1),
    "15W": (7000.0, -20.0, -25.0, 5.6),
    "20W": (9500.0, -15.0, -20.0, 5.6),
    "25W": (13000.0, -10.0, -15.0, 9.3),
}
_PUMPING = 60.0
_THINNER_40 = 3.5
"""High-shear viscosity of a 40 that is also 0W, 5W or 10W. [mPa.s]"""
_THIN_WINTER_GRADES = ("0W", "5W", "10W")

VISCOSITY_GRADES = tuple(_GRADES)
WINTER_GRADES = tuple(_WINTER_GRADES)
ALONE = "none"
"""The winter grade of an oil that has none."""


@dataclass(frozen=True, slots=True)
class HotLimits:
    """What a grade without W promises.

    Attributes
    ----------
    least_viscosity : float
        At 100 degC, itself allowed. [m2/s]
    viscosity_limit : float
        At 100 degC, itself not allowed. [m2/s]
    least_high_shear_viscosity : float
        At 150 degC. [Pa.s]
    """

    least_viscosity: SquareMetrePerSecond
    viscosity_limit: SquareMetrePerSecond
    least_high_shear_viscosity: PascalSecond


@dataclass(frozen=True, slots=True)
class ColdLimits:
    """What a grade with W promises.

    Attributes
    ----------
    cranking_temperature : float
        [K]
    greatest_cranking_viscosity : float
        [Pa.s]
    pumping_temperature : float
        [K]
    greatest_pumping_viscosity : float
        Without yield stress. [Pa.s]
    least_viscosity : float
        At 100 degC. [m2/s]
    """

    cranking_temperature: Kelvin
    greatest_cranking_viscosity: PascalSecond
    pumping_temperature: Kelvin
    greatest_pumping_viscosity: PascalSecond
    least_viscosity: SquareMetrePerSecond


def hot_limits(viscosity_grade: str, winter_grade: str = ALONE) -> HotLimits:
    """Limits of an engine oil's grade at running temperature.

    A table. The least viscosity of grade 20 was 5.6 mm2/s before 2013.

    Parameters
    ----------
    viscosity_grade : str
        The number without W, as `30` of 5W-30.
    winter_grade : str, optional
        The number with W, as `5W` of 5W-30; `none` of an oil of one grade.

    Returns
    -------
    HotLimits
        Kinematic in [m2/s], high shear in [Pa.s].

    Raises
    ------
    OutOfRange
        A grade is not in the table.

    Examples
    --------
    >>> print(round(hot_limits("30").viscosity_limit * 1e6, 1))
    12.5

    References
    ----------
    .. [1] SAE J300, 2015 (secondary transcriptions; the standard itself was not open).
    """
    _known("viscosity_grade", viscosity_grade, VISCOSITY_GRADES)
    _known("winter_grade", winter_grade, (ALONE, *WINTER_GRADES))
    least, limit, high_shear = _GRADES[viscosity_grade]
    if viscosity_grade == "40" and winter_grade in _THIN_WINTER_GRADES:
        high_shear = _THINNER_40
    return HotLimits(
        least_viscosity=least * SQUARE_MILLIMETRE,
        viscosity_limit=limit * SQUARE_MILLIMETRE,
        least_high_shear_viscosity=high_shear * _MILLI,
    )


def cold_limits(winter_grade: str) -> ColdLimits:
    """Limits of an engine oil's winter grade.

    A table.

    Parameters
    ----------
    winter_grade : str
        As `5W`.

    Returns
    -------
    ColdLimits
        Temperatures in [K], dynamic viscosities in [Pa.s], the kinematic one in [m2/s].

    Raises
    ------
    OutOfRange
        The grade is not in the table.

    Examples
    --------
    >>> print(round(cold_limits("10W").greatest_cranking_viscosity, 3))
    7.0

    References
    ----------
    .. [1] SAE J300, 2015 (secondary transcriptions; the standard itself was not open).
    """
    _known("winter_grade", winter_grade, WINTER_GRADES)
    cranking, cranking_at, pumping_at, least = _WINTER_GRADES[winter_grade]
    return ColdLimits(
        cranking_temperature=_ICE + cranking_at,
        greatest_cranking_viscosity=cranking * _MILLI,
        pumping_temperature=_ICE + pumping_at,
        greatest_pumping_viscosity=_PUMPING,
        least_viscosity=least * SQUARE_MILLIMETRE,
    )


def _known(name: str, grade: str, grades: tuple[str, ...]) -> None:
    if grade not in grades:
        raise OutOfRange(
            f"{name} {grade!r}",
            None,
            f"one of {', '.join(grades)}",
            source="SAE J300",
            advice="Write 5W-30 as the two grades 30 and 5W",
        )
