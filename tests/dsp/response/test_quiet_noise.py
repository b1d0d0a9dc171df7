import numpy as np
import pytest

from dsp import DspError
from dsp.response.quiet_noise import quiet_noise
from tests.dsp.response.played import RATE, one_sweep

SWEEP = one_sweep(duration_s=0.5)


def test_white_noise_has_its_density_at_every_frequency() -> None:
    rng = np.random.default_rng(2)
    frequency = np.geomspace(20, 20_000, 40)
    got = [
        quiet_noise(0.3 * rng.standard_normal(SWEEP.samples.size), excitation=SWEEP).density_at(
            frequency
        )
        for _ in range(60)
    ]
    # 0.09 over 24 kHz; 60 means of some 8 degrees of freedom know it to 6 %, four of those.
    np.testing.assert_allclose(np.mean(got, axis=0), 0.09 / 24_000, rtol=0.26)


def test_an_offset_is_told_apart_from_noise() -> None:
    noise = 1e-3 * np.random.default_rng(1).standard_normal(SWEEP.samples.size)
    got = quiet_noise(noise + 0.2, excitation=SWEEP)
    assert got.mean == pytest.approx(0.2, abs=1e-4)
    assert got.rms == pytest.approx(1e-3, rel=0.05)


def test_what_was_not_recorded_does_not_count_as_quiet() -> None:
    noise = np.random.default_rng(1).standard_normal(SWEEP.samples.size)
    cut = noise.copy()
    cut[:6000] = 0.0
    assert quiet_noise(cut, excitation=SWEEP).rms == pytest.approx(1.0, rel=0.05)


def test_too_little_silence_is_refused() -> None:
    noise = np.random.default_rng(1).standard_normal(SWEEP.samples.size)
    noise[: SWEEP.quiet_stop - round(0.01 * RATE)] = 0.0
    with pytest.raises(DspError, match=r"too little silence: given .*, allowed from 0\.015 s"):
        quiet_noise(noise, excitation=SWEEP)
