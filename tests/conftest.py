"""What every test shares: how many random examples a property is tried on.

`quick` draws the same examples on every run, so that a red test stays red until it is mended.
`make soak` takes the other profile, which draws new ones, and many more of them.
"""

from __future__ import annotations

from hypothesis import HealthCheck, settings

settings.register_profile("quick", derandomize=True, deadline=None)
settings.register_profile(
    "soak", max_examples=5_000, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("quick")
