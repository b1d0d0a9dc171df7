import numpy as np
import pytest

from dsp.defects.colour import colour
from tests.dsp.defects.played import excitation, read


def test_two_lines_that_repeat_give_the_ratio_of_their_powers() -> None:
    played = excitation(100.0)
    # Orders 12 and 25 of 100 Hz, the second half as strong: 20 lg 0.5 = -6.02 dB.
    t = np.arange(played.samples.size) / played.sample_rate_hz
    more = 1e-2 * np.sin(2 * np.pi * 1200.0 * t) + 5e-3 * np.sin(2 * np.pi * 2500.0 * t)
    tint = colour(read(played, more=more))
    assert tint is not None
    assert tint.value == pytest.approx(-6.02, abs=0.1)
    assert "100 Hz" in tint.how


def test_where_nothing_repeats_there_is_no_colour() -> None:
    assert colour(read(excitation(100.0), rms=1e-3)) is None
