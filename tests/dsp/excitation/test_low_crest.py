import numpy as np
import pytest

from dsp.excitation.crest import crest_db
from dsp.excitation.low_crest import low_crest


@pytest.mark.parametrize(
    ("tones", "schroeder_db"), [(8, 5.0409), (16, 5.2298), (32, 4.7855), (64, 4.6426)]
)
def test_equal_neighbouring_tones_end_below_schroeders_phases(
    tones: int, schroeder_db: float
) -> None:
    # Crest factors of Schroeder's phases: computed independently, 256 times oversampled.
    lines = np.arange(1, tones + 1)
    start = -np.pi * lines * (lines - 1) / tones
    got = low_crest(lines, period=64 * tones, phase_rad=start)
    assert crest_db(got) < schroeder_db
    spectrum = np.abs(np.fft.rfft(got)) / got.size
    np.testing.assert_allclose(spectrum[lines], 1 / np.sqrt(2 * tones), rtol=1e-9)
    assert np.sqrt(np.mean(np.square(got))) == pytest.approx(1.0, rel=1e-12)
