from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dsp import DspError, Floats
from dsp.excitation.crest import crest_db
from dsp.excitation.multitone import multitone
from dsp.excitation.rendered import Rendered
from dsp.excitation.segment import BroadbandSegment

RATE = 48_000.0


def drawn(**change: Any) -> Rendered:
    wanted: dict[str, Any] = {
        "sample_rate_hz": RATE,
        "start_hz": 20.0,
        "stop_hz": 20_000.0,
        "per_octave": 6,
        "duration_s": 2.0,
        "rms_v": 2.83,
        "rng": np.random.default_rng(1),
    }
    return multitone(**(wanted | change))


def parts(rendered: Rendered) -> tuple[BroadbandSegment, Floats]:
    segment = rendered.segment
    assert isinstance(segment, BroadbandSegment)
    return segment, rendered.samples[segment.period : 2 * segment.period]


def test_a_period_holds_equal_lines_and_nothing_else() -> None:
    segment, period = parts(drawn())
    spectrum = np.abs(np.fft.rfft(period)) * np.sqrt(2) / segment.period
    lines = np.rint(segment.frequency_hz * segment.period / RATE).astype(int)
    # N tones of V rms in all: V / sqrt(N) each
    np.testing.assert_allclose(spectrum[lines], 2.83 / np.sqrt(lines.size), rtol=1e-9)
    spectrum[lines] = 0
    assert np.max(spectrum) < 1e-12


@settings(deadline=None, max_examples=15)
@given(
    start=st.floats(20, 300),
    octaves=st.floats(1, 6),
    per_octave=st.integers(1, 24),
    duration=st.floats(0.4, 1.5),
)
def test_rms_is_exact_lines_are_distinct_and_periods_repeat(
    *, start: float, octaves: float, per_octave: int, duration: float
) -> None:
    got = drawn(
        start_hz=start,
        stop_hz=start * 2**octaves,
        per_octave=per_octave,
        duration_s=duration,
        rms_v=1.5,
    )
    segment, period = parts(got)
    assert np.sqrt(np.mean(np.square(period))) == pytest.approx(1.5, rel=1e-9)
    bins = segment.frequency_hz * segment.period / RATE
    np.testing.assert_allclose(bins, np.rint(bins), rtol=1e-12)
    assert np.all(np.diff(np.rint(bins)) >= 1)
    assert 2 * segment.period <= segment.stop <= duration * RATE + 0.006 * RATE
    ramp = 240
    later = got.samples[ramp : segment.stop - ramp]
    np.testing.assert_allclose(
        later[: -segment.period], later[segment.period :], rtol=0, atol=1e-12
    )


def test_lines_lie_where_they_were_asked_for() -> None:
    segment, _ = parts(drawn(per_octave=3, start_hz=100.0, stop_hz=12_800.0))
    wanted = 100 * 2.0 ** (np.arange(22) / 3)
    # a third of a step either way, to stay clear of harmonics
    off = np.log2(segment.frequency_hz / wanted)
    assert np.max(np.abs(off)) < 1 / 9 + 0.01
    assert np.median(np.abs(off)) < 0.01


def test_where_bins_allow_no_line_is_a_harmonic_of_another() -> None:
    segment, _ = parts(drawn(duration_s=4.0, start_hz=50.0, per_octave=3, stop_hz=16_000.0))
    bins = np.rint(segment.frequency_hz * segment.period / RATE)
    times = bins[:, None] / bins
    assert not np.any((times > 1) & (times <= 20) & (times % 1 == 0))


@pytest.mark.parametrize(("per_octave", "duration_s"), [(3, 0.5), (6, 2.0), (12, 2.0)])
def test_the_crest_factor_is_below_the_median_of_random_phases(
    per_octave: int, duration_s: float
) -> None:
    segment, period = parts(drawn(per_octave=per_octave, duration_s=duration_s))
    lines = np.rint(segment.frequency_hz * segment.period / RATE).astype(int)
    rng = np.random.default_rng(5)
    chance = []
    for _ in range(60):
        spectrum = np.zeros(segment.period // 2 + 1, dtype=complex)
        spectrum[lines] = np.exp(1j * rng.uniform(-np.pi, np.pi, lines.size))
        chance.append(crest_db(np.fft.irfft(spectrum, segment.period)))
    assert crest_db(period) < np.median(chance) - 2.5
    assert crest_db(period) < np.min(chance)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"stop_hz": 24_000.0}, "stop_hz outside: given 24000.0"),
        ({"start_hz": 300.0, "stop_hz": 300.0}, "stop_hz outside: given 300.0, allowed above 300"),
        ({"per_octave": 0}, "per_octave outside"),
        ({"duration_s": 0.1}, r"duration_s too short: given 0\.1, allowed from 0\.2 s"),
        ({"rms_v": -1.0}, r"rms_v outside: given -1\.0"),
    ],
)
def test_what_cannot_be_played_is_refused(change: dict[str, Any], message: str) -> None:
    with pytest.raises(DspError, match=message):
        drawn(**change)
