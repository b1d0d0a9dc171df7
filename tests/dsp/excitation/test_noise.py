from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dsp import DspError, Floats
from dsp.excitation.crest import crest_db
from dsp.excitation.noise import Colour, noise
from dsp.excitation.rendered import Rendered

RATE = 48_000.0


def drawn(
    colour: Colour = "pink",
    *,
    start_hz: float = 20.0,
    stop_hz: float = 20_000.0,
    duration_s: float = 4.0,
    rms_v: float = 2.83,
    crest: float = 12.0,
    seed: int = 1,
) -> Rendered:
    return noise(
        sample_rate_hz=RATE,
        colour=colour,
        start_hz=start_hz,
        stop_hz=stop_hz,
        duration_s=duration_s,
        rms_v=rms_v,
        crest_db=crest,
        rng=np.random.default_rng(seed),
    )


def octave_powers(samples: Floats, middles: Floats) -> Floats:
    power = np.square(np.abs(np.fft.rfft(samples)))
    f = np.fft.rfftfreq(samples.size, 1 / RATE)
    return np.array([np.sum(power[(f >= m / np.sqrt(2)) & (f < m * np.sqrt(2))]) for m in middles])


@pytest.mark.parametrize(("colour", "slope_db"), [("pink", 0.0), ("white", 3.0103)])
@pytest.mark.parametrize("crest", [6.0, 12.0])
def test_power_an_octave_is_flat_for_pink_and_doubles_for_white(
    colour: Colour, slope_db: float, crest: float
) -> None:
    middles = np.array([62.5, 125, 250, 500, 1000, 2000, 4000, 8000])
    got = 10 * np.log10(octave_powers(drawn(colour, crest=crest).samples, middles))
    # sigma of a band level = 4.34 / sqrt(B T) dB; four of them on either side
    allowed = 4 * 4.34 / np.sqrt(middles / np.sqrt(2) * 4.0)
    expected = slope_db * np.arange(8)
    expected += np.mean((got - expected)[4:])
    np.testing.assert_array_less(np.abs(got - expected), allowed + 0.02)


def test_nothing_but_the_spread_of_the_ramps_lies_outside_the_band() -> None:
    # The ramps hold 10 ms of 4 s, and spread that by 1 / 5 ms at two edges of a band of
    # 1.8 kHz: below -26 - 7 dB, most of it next to the band. A clipper to 6 dB would leave -25.
    samples = drawn("white", start_hz=200, stop_hz=2000, crest=6.0).samples
    power = np.square(np.abs(np.fft.rfft(samples)))
    f = np.fft.rfftfreq(samples.size, 1 / RATE)
    outside = np.sum(power[(f < 180) | (f > 2200)]) / np.sum(power)
    assert 10 * np.log10(outside) < -50


@settings(deadline=None, max_examples=25)
@given(
    crest=st.floats(6, 16),
    seed=st.integers(0, 10_000),
    duration=st.floats(0.1, 1.0),
    rms=st.floats(1e-3, 30),
)
def test_peaks_are_held_and_the_rms_is_exact(
    *, crest: float, seed: int, duration: float, rms: float
) -> None:
    got = drawn(duration_s=duration, rms_v=rms, crest=crest, seed=seed, start_hz=60).samples
    assert crest_db(got) <= crest + 1e-9
    assert np.sqrt(np.mean(np.square(got))) == pytest.approx(rms, rel=1e-12)
    assert got[0] == 0.0
    assert got[-1] == 0.0
    assert got.size == round(duration * RATE)


def test_amplitudes_are_gaussian() -> None:
    got = drawn("white", crest=20.0, duration_s=8.0).samples / 2.83
    # Kurtosis of a Gaussian is 3, of n independent samples within 4 sqrt(24/n); P(|x| > 2) 4.55 %.
    assert np.mean(got**4) == pytest.approx(3.0, abs=4 * np.sqrt(24 / got.size) + 0.01)
    assert np.mean(np.abs(got) > 2) == pytest.approx(0.0455, abs=0.001)


def test_the_same_seed_draws_the_same_noise_and_another_does_not() -> None:
    np.testing.assert_array_equal(drawn(seed=7).samples, drawn(seed=7).samples)
    assert np.max(np.abs(drawn(seed=7).samples - drawn(seed=8).samples)) > 1


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"stop_hz": 24_000.0}, "stop_hz outside: given 24000.0, allowed above 0, below 24000 Hz"),
        ({"start_hz": 20_000.0}, "stop_hz outside: given 20000.0, allowed above 20000 Hz"),
        ({"crest": 3.0}, "crest_db outside: given 3.0, allowed 6 dB and above"),
        ({"rms_v": 0.0}, "rms_v outside"),
        ({"start_hz": 100.0, "stop_hz": 101.0, "duration_s": 0.1}, "too short for this band"),
    ],
)
def test_what_cannot_be_played_is_refused(change: dict[str, Any], message: str) -> None:
    with pytest.raises(DspError, match=message):
        drawn(**change)


def test_an_unknown_colour_is_refused() -> None:
    with pytest.raises(DspError, match="unknown colour: given blue, allowed pink, white"):
        drawn("blue")  # type: ignore[arg-type]  # what a typed caller cannot do, data can
