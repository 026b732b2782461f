"""Compression: the volumes above the piston, static and effective ratio, cranking pressure and quench."""

from __future__ import annotations

import math

from tappetry.engineering.crank import piston_fall
from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import CubicMetre, Metre, Pascal, Pure, Radian, Range, require_between


def gasket_volume(gasket_bore: Metre, gasket_thickness: Metre) -> CubicMetre:
    r"""Volume inside a head gasket with a round bore.

    .. math:: V = \pi d^2 t / 4

    Where the fire ring is not round take the maker's volume instead.

    Parameters
    ----------
    gasket_bore : float or array_like
        d. [m]
    gasket_thickness : float or array_like
        t, compressed. [m]

    Returns
    -------
    float or ndarray
        For one cylinder. [m3]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(gasket_volume(0.101, 0.0013) * 1e6, 2))
    10.42

    References
    ----------
    .. [1] Volume of a cylinder.
    """
    gasket_bore = require("gasket_bore", gasket_bore)
    return math.pi / 4.0 * gasket_bore**2 * require("gasket_thickness", gasket_thickness)


def clearance_volume(
    chamber_volume: CubicMetre,
    gasket_volume: CubicMetre,
    bore: Metre,
    deck_clearance: Metre,
    piston_volume: CubicMetre,
    crevice_volume: CubicMetre = 0.0,
) -> CubicMetre:
    r"""Volume above the piston at top dead centre.

    .. math:: V_c = V_{chamber} + V_{gasket} + \pi d^2 c / 4 + V_{piston} + V_{crevice}

    Parameters
    ----------
    chamber_volume : float or array_like
        In the head, valves and plug in place. [m3]
    gasket_volume : float or array_like
        Inside the compressed gasket. [m3]
    bore : float or array_like
        d. [m]
    deck_clearance : float or array_like
        c, deck above piston; negative where the piston stands proud. [m]
    piston_volume : float or array_like
        Dish and pockets positive, dome negative. [m3]
    crevice_volume : float or array_like, optional
        Ring lands; usually left out. [m3]

    Returns
    -------
    float or ndarray
        For one cylinder. [m3]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or no volume is left.

    Examples
    --------
    >>> print(round(clearance_volume(58e-6, 10.415e-6, 0.099, 0.0005, 3e-6) * 1e6, 2))
    75.26

    References
    ----------
    .. [1] Sum of volumes.
    """
    deck_volume = math.pi / 4.0 * require("bore", bore) ** 2 * require("deck_clearance", deck_clearance)
    volume = (
        require("chamber_volume", chamber_volume)
        + require("gasket_volume", gasket_volume)
        + deck_volume
        + require("piston_volume", piston_volume)
        + require("crevice_volume", crevice_volume)
    )
    return require_between(
        "clearance_volume",
        volume,
        Range(0.0, math.inf, low_excluded=True),
        "m3",
        source="something must be left above the piston",
        advice="Check the signs: a dome is a negative volume, a proud piston a negative deck clearance",
    )


def static_compression_ratio(swept_volume: CubicMetre, clearance_volume: CubicMetre) -> Pure:
    r"""Static compression ratio.

    .. math:: \varepsilon = (V_s + V_c) / V_c

    Parameters
    ----------
    swept_volume : float or array_like
        V_s, of one cylinder. [m3]
    clearance_volume : float or array_like
        V_c, above the piston at top dead centre. [m3]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(static_compression_ratio(700.49e-6, 75.26e-6), 2))
    10.31

    References
    ----------
    .. [1] Definition.
    """
    return 1.0 + require("swept_volume", swept_volume) / require("clearance_volume", clearance_volume)


def chamber_volume_for_ratio(
    compression_ratio: Pure,
    swept_volume: CubicMetre,
    gasket_volume: CubicMetre,
    bore: Metre,
    deck_clearance: Metre,
    piston_volume: CubicMetre,
) -> CubicMetre:
    r"""Chamber volume that gives a static compression ratio.

    .. math:: V_{chamber} = V_s / (\varepsilon - 1) - V_{gasket} - \pi d^2 c / 4 - V_{piston}

    Parameters
    ----------
    compression_ratio : float or array_like
        The static ratio that is wanted. [1]
    swept_volume : float or array_like
        V_s, of one cylinder. [m3]
    gasket_volume : float or array_like
        Inside the compressed gasket. [m3]
    bore : float or array_like
        d. [m]
    deck_clearance : float or array_like
        c, deck above piston; negative where the piston stands proud. [m]
    piston_volume : float or array_like
        Dish and pockets positive, dome negative. [m3]

    Returns
    -------
    float or ndarray
        [m3]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the ratio cannot be had with any chamber.

    Examples
    --------
    >>> print(round(chamber_volume_for_ratio(10.5, 716.6e-6, 8.87e-6, 0.1016, 0.000254, 5e-6) * 1e6, 1))
    59.5

    References
    ----------
    .. [1] `static_compression_ratio` turned round.
    """
    wanted = require("swept_volume", swept_volume) / (require("compression_ratio", compression_ratio) - 1.0)
    deck_volume = math.pi / 4.0 * require("bore", bore) ** 2 * require("deck_clearance", deck_clearance)
    taken = require("gasket_volume", gasket_volume) + deck_volume + require("piston_volume", piston_volume)
    return require_between(
        "chamber_volume",
        wanted - taken,
        Range(0.0, math.inf, low_excluded=True),
        "m3",
        source="the rest of the clearance is larger than the ratio allows",
        advice="Take a thinner gasket, a smaller dish or a lower ratio",
    )


def effective_stroke(
    intake_closes: Radian, stroke: Metre, rod_length: Metre, pin_offset: Metre = 0.0
) -> Metre:
    r"""Piston below top dead centre when the intake valve closes.

    .. math:: s_e = s(180^\circ + IVC)

    Take the seat timing (0.006 in at the tappet), and never mix it with other checking heights
    (common practice, no source).

    Parameters
    ----------
    intake_closes : float or array_like
        IVC, after bottom dead centre, crank angle. [rad]
    stroke : float or array_like
        Twice the throw. [m]
    rod_length : float or array_like
        Centre to centre. [m]
    pin_offset : float or array_like, optional
        Positive to the side the crankpin swings to after top dead centre. [m]

    Returns
    -------
    float or ndarray
        The part of the stroke that compresses. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the rod is too short to let the crank turn.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(effective_stroke(64 * DEGREE, 0.091, 0.156) * 1e3, 2))
    70.9

    References
    ----------
    .. [1] Exact slider-crank, `piston_fall`.
    """
    return piston_fall(math.pi + require("intake_closes", intake_closes), stroke, rod_length, pin_offset)


def effective_compression_ratio(effective_stroke: Metre, bore: Metre, clearance_volume: CubicMetre) -> Pure:
    r"""Compression ratio from intake closing.

    .. math:: \varepsilon_e = (V_c + \pi d^2 s_e / 4) / V_c

    Parameters
    ----------
    effective_stroke : float or array_like
        s_e, piston below top dead centre at intake closing. [m]
    bore : float or array_like
        d. [m]
    clearance_volume : float or array_like
        V_c, above the piston at top dead centre. [m3]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(effective_compression_ratio(0.0709, 0.099, 75.26e-6), 2))
    8.25

    References
    ----------
    .. [1] Trapped volume over clearance volume; definition.
    """
    trapped = math.pi / 4.0 * require("bore", bore) ** 2 * require("effective_stroke", effective_stroke)
    return 1.0 + trapped / require("clearance_volume", clearance_volume)


def cranking_pressure(
    effective_compression_ratio: Pure, ambient_pressure: Pascal = 101325.0, polytropic_exponent: Pure = 1.2
) -> Pascal:
    r"""Estimate of what a compression gauge reads while the engine is cranked.

    .. math:: p = p_a (\varepsilon_e^n - 1)

    Good for comparing engines of one kind with one gauge; it certifies nothing.

    Parameters
    ----------
    effective_compression_ratio : float or array_like
        epsilon_e, from intake closing. [1]
    ambient_pressure : float or array_like, optional
        p_a, absolute. [Pa]
    polytropic_exponent : float or array_like, optional
        n, 1.20 to 1.25 in use: heat and leaks take the rest of 1.4 (common practice, no source). [1]

    Returns
    -------
    float or ndarray
        Gauge pressure. [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(cranking_pressure(8.25, 101353.0) / 6894.757))
    170

    References
    ----------
    .. [1] Polytropic compression of a perfect gas; textbook.
    """
    ratio = require("effective_compression_ratio", effective_compression_ratio)
    exponent = require("polytropic_exponent", polytropic_exponent)
    return require("ambient_pressure", ambient_pressure) * (ratio**exponent - 1.0)


def quench(deck_clearance: Metre, gasket_thickness: Metre) -> Metre:
    r"""Gap between the flats of piston and head at top dead centre.

    .. math:: q = c + t

    Common practice, no source: 0.90 to 1.15 mm is good with steel rods, never below 0.80, above 1.5 it no
    longer works.

    Parameters
    ----------
    deck_clearance : float or array_like
        c; negative where the piston stands proud. [m]
    gasket_thickness : float or array_like
        t, compressed. [m]

    Returns
    -------
    float or ndarray
        Cold and at rest; negative touches. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(quench(0.0005, 0.0013) * 1e3, 2))
    1.8

    References
    ----------
    .. [1] Sum of lengths.
    """
    return require("deck_clearance", deck_clearance) + require("gasket_thickness", gasket_thickness)


def deck_clearance(deck_height: Metre, stroke: Metre, rod_length: Metre, pin_height: Metre) -> Metre:
    r"""Deck above the piston at top dead centre.

    .. math:: c = H - s/2 - l - h

    Parameters
    ----------
    deck_height : float or array_like
        H, from the crank's axis to the deck. [m]
    stroke : float or array_like
        s. [m]
    rod_length : float or array_like
        l, centre to centre. [m]
    pin_height : float or array_like
        h, from the pin's axis to the crown's rim. [m]

    Returns
    -------
    float or ndarray
        Negative where the piston stands proud. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(deck_clearance(0.236, 0.091, 0.156, 0.034) * 1e3, 2))
    0.5

    References
    ----------
    .. [1] Chain of lengths, for a pin without offset.
    """
    return (
        require("deck_height", deck_height)
        - require("stroke", stroke) / 2.0
        - require("rod_length", rod_length)
        - require("pin_height", pin_height)
    )
