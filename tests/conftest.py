"""What holds for every test."""

import os

import pytest
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

# Files that take longest go first, so that at the end no process waits for another's last one.
_LONGEST = (
    "tests/desktop/test_stories.py",
    "tests/app/desktop/engine/test_ends.py",
    "tests/desktop/test_layout.py",
    "tests/dsp/calibration/test_microphone.py",
    "tests/app/cli/test_calibrate_links.py",
    "tests/app/records/test_killed.py",
    "tests/app/test_killed_program.py",
    "tests/docs/test_calibration_tutorial.py",
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Bring the longest files to the front; all others keep their order."""
    places = {name: place for place, name in enumerate(_LONGEST)}
    items.sort(key=lambda item: places.get(item.nodeid.partition("::")[0], len(places)))
