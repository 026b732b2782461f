"""What workers do for each kind of long work."""

from __future__ import annotations

from collections.abc import Mapping

from tappetry.services.curves import KIND, work_curve
from tappetry.services.queue import Work

WORKS: Mapping[str, Work] = {KIND: work_curve}
