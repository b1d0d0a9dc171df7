import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError
from dsp.excitation.log_sweep import log_sweep, sweep_order
from dsp.excitation.segment import LogSweepSegment

RATE = 48_000.0


def make(**changed: float) -> tuple[np.ndarray, LogSweepSegment]:
    given_ = {
        "sample_rate_hz": RATE,
        "start_hz": 20.0,
        "stop_hz": 20_000.0,
        "duration_s": 5.0,
        "peak_v": 4.0,
    }
    got = log_sweep(**(given_ | changed))
    assert isinstance(got.segment, LogSweepSegment)
    return got.samples, got.segment


def test_the_rate_is_the_closed_form_and_not_rounded() -> None:
    # REFERENCE 1.7: 20 Hz to 20 kHz in 5 s.
    _, segment = make()
    assert segment.rate_s == pytest.approx(0.723824137, rel=1e-8)


@given(
    span=st.tuples(st.floats(5, 200), st.floats(2, 6)),
    seconds=st.floats(0.3, 3),
    rate=st.sampled_from([44_100.0, 48_000.0, 96_000.0]),
)
def test_from_start_to_stop_it_takes_what_was_asked(
    span: tuple[float, float], seconds: float, rate: float
) -> None:
    start_hz, octaves = span
    stop_hz = min(start_hz * 2**octaves, 0.45 * rate)
    samples, segment = make(
        sample_rate_hz=rate, start_hz=start_hz, stop_hz=stop_hz, duration_s=seconds
    )
    assert segment.rate_s * np.log(stop_hz / start_hz) == pytest.approx(seconds, rel=1e-12)
    assert segment.first_hz <= start_hz
    assert stop_hz <= segment.last_hz <= 0.4801 * rate
    assert samples.size == segment.stop
    assert samples[0] == samples[-1] == 0.0
    assert np.max(np.abs(samples)) <= 4.0


def test_within_the_span_nothing_is_faded() -> None:
    samples, segment = make()
    inside = samples[: round(5.0 * RATE)]
    # REFERENCE 1.7: rms of an unfaded sweep is peak / sqrt 2, 1e-4.
    assert np.sqrt(np.mean(inside**2)) == pytest.approx(4 / np.sqrt(2), rel=3e-4)
    assert np.max(np.abs(inside[-48:])) == pytest.approx(4.0, rel=0.05)
    assert segment.last_hz > 20_000 * 1.05


def test_its_spectrum_is_the_one_of_stationary_phase() -> None:
    # Mueller, Massarani, J. Audio Eng. Soc. 49 (2001) 443: |X| = peak/2 sqrt(L/f), 0.05 dB.
    samples, segment = make()
    spectrum = np.abs(np.fft.rfft(samples)) / RATE
    f = np.fft.rfftfreq(samples.size, 1 / RATE)
    near = (f > 900) & (f < 1100)
    expected = 2.0 * np.sqrt(segment.rate_s / f[near])
    got_db = 10 * np.log10(np.mean(spectrum[near] ** 2) / np.mean(expected**2))
    assert got_db == pytest.approx(0.0, abs=0.05)


@pytest.mark.parametrize("order", [2, 3, 5])
def test_an_order_is_that_harmonic_of_each_period(order: int) -> None:
    # Abramowitz, Stegun 22: T_n(cos a) = cos n a; shifted by a quarter period for the sine.
    samples, segment = make(peak_v=1.0, stop_hz=1000.0)
    whole = samples[: round(5.0 * RATE)]
    phase = (
        2 * np.pi * 20 * segment.rate_s * np.expm1(np.arange(whole.size) / RATE / segment.rate_s)
    )
    got = sweep_order(segment, order=order, sample_rate_hz=RATE)[: whole.size]
    np.testing.assert_allclose(got, np.sin(order * phase), atol=1e-9)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        (
            {"start_hz": 20_000.0},
            "start_hz not below stop_hz: given 20000.0, allowed 0 to 20000 Hz",
        ),
        ({"start_hz": 0.0}, "start_hz not below"),
        ({"stop_hz": 24_000.0}, "stop_hz too high: given 24000.0, allowed below 24000 Hz"),
        ({"duration_s": 0.04}, "duration_s too short: given 0.04, allowed from 0.05 s"),
        ({"duration_s": float("nan")}, "duration_s too short"),
        ({"peak_v": 0.0}, "no amplitude: given 0.0, allowed above 0 V"),
    ],
)
def test_what_cannot_be_swept_is_refused(changed: dict[str, float], words: str) -> None:
    with pytest.raises(DspError, match=words):
        make(**changed)
