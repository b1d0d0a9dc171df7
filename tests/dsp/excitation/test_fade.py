import numpy as np
import pytest

from dsp import DspError
from dsp.excitation.fade import faded


def test_only_the_ends_change_and_they_rise_along_half_a_cosine() -> None:
    got = faded(np.ones(100), fade_samples=20)
    np.testing.assert_allclose(
        got[:20], 0.5 - 0.5 * np.cos(np.pi * np.arange(20) / 20), rtol=0, atol=1e-15
    )
    np.testing.assert_array_equal(got, got[::-1])
    np.testing.assert_array_equal(got[20:80], 1.0)


def test_ramps_longer_than_the_signal_are_refused() -> None:
    with pytest.raises(DspError, match="ramps too long: given 6, allowed 0 to 5 samples"):
        faded(np.ones(10), fade_samples=6)
