"""The level of a residual over time: a second sound of known rms, while each tone is held."""

import math

import numpy as np
import pytest

from dsp.defects.residual_level import residual_levels
from tests.dsp.defects.played import RATE, excitation, read, tone_segment


def test_a_second_sound_has_the_level_of_its_rms_from_when_to_when_it_sounds() -> None:
    played = excitation(60.0, 100.0)
    segment = tone_segment(played)
    more = np.zeros(played.samples.size)
    second = slice(int(segment.hold_start[1]), int(segment.hold_stop[1]))
    # 3.1 kHz is no multiple of 100 Hz that the fit would take away; 15.5 periods in 5 ms.
    sine = np.sin(2 * np.pi * 3100.0 * np.arange(second.stop - second.start) / RATE)
    more[second] = 0.02 * sine
    quiet, loud = residual_levels(read(played, more=more))
    assert (quiet.drive_hz[0], loud.drive_hz[0]) == (60.0, 100.0)
    assert not loud.is_swept
    # A sine of 0.02 Pa peak: 0.02 / sqrt 2 over 20 uPa.
    expected = 20 * math.log10(0.02 / math.sqrt(2) / 20e-6)
    inner = loud.level_db[3:-3]
    assert inner == pytest.approx(np.full(inner.size, expected), abs=0.3)
    assert quiet.level_db.max() < expected - 40
    assert loud.time_s[0] == pytest.approx(second.start / RATE + 0.0025, abs=1e-9)
    assert np.diff(loud.time_s) == pytest.approx(np.full(loud.time_s.size - 1, 0.005))
    assert loud.time_s[-1] <= second.stop / RATE
