"""Curvature of a curve about the cam, for those who need it of a lobe."""

from __future__ import annotations

from tappetry.engineering.ranges import Real


def path_curvature(reach: Real, slope: Real, bend: Real) -> Real:
    """Curvature of the path of the roller's centre about the cam, in polar coordinates."""
    return (reach**2 + 2.0 * slope**2 - reach * bend) / (reach**2 + slope**2) ** 1.5
