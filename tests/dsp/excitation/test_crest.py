import numpy as np
import pytest

from dsp import DspError
from dsp.excitation.crest import crest_db

TURN = 2 * np.pi * np.arange(4096) / 4096


@pytest.mark.parametrize(("tones", "expected"), [(1, 3.0103), (8, 12.0412), (32, 18.0618)])
def test_equal_tones_in_cosine_phase_stand_ten_log_two_n_above_their_rms(
    tones: int, expected: float
) -> None:
    wave = np.sum([np.cos(k * TURN) for k in range(1, tones + 1)], axis=0)
    assert crest_db(wave) == pytest.approx(expected, abs=1e-4)


def test_square_and_triangle() -> None:
    assert crest_db(np.sign(np.pi - TURN - 1e-3)) == pytest.approx(0.0, abs=1e-12)
    triangle = np.abs(TURN / np.pi - 1) * 2 - 1
    assert crest_db(triangle) == pytest.approx(4.7712, abs=1e-4)


@pytest.mark.parametrize("silent", [np.zeros(5), np.zeros(0)])
def test_silence_has_no_crest_factor(silent: np.typing.NDArray[np.float64]) -> None:
    with pytest.raises(DspError, match="no crest factor"):
        crest_db(silent)
