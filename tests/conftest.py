"""What holds for every test."""

import os

from hypothesis import HealthCheck, settings

# A busy machine is no defect: no deadlines. CI draws the same examples each time, so that a
# change is red for what it changed; on a developer's machine they are drawn anew.
settings.register_profile(
    "house",
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=bool(os.environ.get("CI")),
)
settings.load_profile("house")
