"""Two sines at once: their level, ratio and places."""

import numpy as np
import pytest

from dsp import DspError
from dsp.excitation.rendered import Rendered
from dsp.excitation.segment import BroadbandSegment
from dsp.excitation.two_tones import two_tones


def made(
    low_hz: float = 60.0, high_hz: float = 7000.0, *, ratio: float = 4.0, duration_s: float = 2.0
) -> Rendered:
    return two_tones(
        sample_rate_hz=48_000,
        low_hz=low_hz,
        high_hz=high_hz,
        ratio=ratio,
        duration_s=duration_s,
        rms_v=2.0,
    )


def test_a_period_has_the_rms_and_the_ratio_that_were_asked_for() -> None:
    got = made()
    segment = got.segment
    assert isinstance(segment, BroadbandSegment)
    period = got.samples[segment.period : 2 * segment.period]
    assert np.sqrt(np.mean(period**2)) == pytest.approx(2.0, rel=1e-12)
    lines = np.abs(np.fft.rfft(period)) * 2 / segment.period
    low, high = np.rint(segment.frequency_hz * segment.period / 48_000).astype(int)
    # 4 : 1 at 2 V rms: peaks 4 a and a with 17 a^2 / 2 = 4.
    assert lines[high] == pytest.approx(np.sqrt(8 / 17), rel=1e-9)
    assert lines[low] == pytest.approx(4 * np.sqrt(8 / 17), rel=1e-9)
    assert np.delete(lines, [low, high]).max() < 1e-9


def test_products_do_not_fall_on_low_harmonics_of_the_lower_tone() -> None:
    segment = made(60, 600).segment
    assert isinstance(segment, BroadbandSegment)
    low, high = segment.frequency_hz
    assert high != pytest.approx(600)
    assert abs(high - 600) < 10
    for multiple in (1, 2, 3):
        order = multiple * high / low
        assert order > 20 or abs(order - round(order)) > 1e-6


@pytest.mark.parametrize(
    ("low_hz", "high_hz", "duration_s", "what"),
    [
        (60, 7000, 0.6, "duration_s too short"),
        (60, 62, 2, "too low or close"),
        (7000, 60, 2, "two_tones"),
        (60, 25_000, 2, "two_tones"),
    ],
)
def test_what_cannot_be_read_is_refused(
    *, low_hz: float, high_hz: float, duration_s: float, what: str
) -> None:
    with pytest.raises(DspError, match=what):
        made(low_hz, high_hz, duration_s=duration_s)
