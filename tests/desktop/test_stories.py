"""Three people at work in the real window, by mouse and keys, on the rig in real time.

The stories check each of their steps themselves, and say which one broke.
"""

from pathlib import Path

import pytest

from app.desktop.selftest.engineer import tell_engineer
from app.desktop.selftest.hands import Hands
from app.desktop.selftest.quality import tell_quality
from app.desktop.selftest.run import Story
from app.desktop.selftest.stage import stage
from app.desktop.selftest.technician import tell_technician


@pytest.mark.parametrize(
    ("story", "units"), [(tell_engineer, 3), (tell_technician, 1), (tell_quality, 6)]
)
def test_a_story_comes_to_its_end(story: Story, units: int, tmp_path: Path) -> None:
    steps: list[str] = []
    with stage(tmp_path / "stage", procedure="line-check", units=units, real_time=True) as here:
        story(Hands(steps.append), here)
        assert not here.defects
    assert len(steps) >= 5
