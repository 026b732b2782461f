"""Columns of charts in the units of whoever looks at them."""

from __future__ import annotations

from tappetry.presentation.charts.chart import Column
from tappetry.presentation.measures import Measures


def column(name: str, title: str, kind: str, measures: Measures) -> Column:
    """A column whose name ends with its unit, as a person reads this kind of quantity."""
    unit = measures.by_kind[kind].unit.lower().replace(".", "").replace("/", "_")
    return Column(f"{name}_{unit}", title, measures.sign(kind))
