"""Two sines at once: what modulation and difference-frequency distortion are read from."""

import numpy as np

from dsp.errors import DspError
from dsp.excitation.allowed import require_positive, require_span
from dsp.excitation.fade import FADE_S, faded
from dsp.excitation.rendered import Rendered
from dsp.excitation.segment import BroadbandSegment

_PERIOD_S = 0.25
_FEWEST_PERIODS = 3  # the first settles, noise is told from two more
# Products m f2 + n f1 are kept apart from harmonics of f1 up to here.
_HIGHEST_HARMONIC, _HIGHEST_MULTIPLE = 20, 3


def two_tones(
    *,
    sample_rate_hz: float,
    low_hz: float,
    high_hz: float,
    ratio: float,
    duration_s: float,
    rms_v: float,
) -> Rendered:
    """Render two sines on bins of one period that repeats.

    Parameters
    ----------
    sample_rate_hz : float
        Hz.
    low_hz, high_hz : float
        Hz, to the nearest bin; the higher one moves on by a bin where one of its first three
        harmonics would be one of the first 20 of the lower.
    ratio : float
        Amplitude of the lower over that of the higher: 4 for modulation distortion, 1 for
        difference-frequency distortion.
    duration_s : float
        s, of all periods of about 0.25 s; a ramp of 5 ms follows.
    rms_v : float
        V rms of both together: exact over a period.

    Returns
    -------
    Rendered, with a BroadbandSegment that names both lines and the period; V.

    Raises
    ------
    DspError
        Frequencies that do not rise or that the rate cannot hold, a ratio or level that is not
        positive, less than three periods, tones closer than two bins.

    References
    ----------
    IEC 60268-3, intermodulation; IEC 60268-21.
    """
    require_span("two_tones", start_hz=low_hz, stop_hz=high_hz, sample_rate_hz=sample_rate_hz)
    require_positive("two_tones", ratio=ratio, duration_s=duration_s, rms_v=rms_v)
    periods = int(duration_s / _PERIOD_S + 1e-6)
    if periods < _FEWEST_PERIODS:
        allowed = f"from {_FEWEST_PERIODS * _PERIOD_S:g} s"
        raise DspError("two_tones", "duration_s too short", given=duration_s, allowed=allowed)
    period = int(duration_s * sample_rate_hz / periods + 1e-6)
    bin_hz = sample_rate_hz / period
    low, high = max(round(low_hz / bin_hz), 1), round(high_hz / bin_hz)
    if high - low < 2 or low < 2:
        allowed = f"both from {2 * bin_hz:g} Hz on, {2 * bin_hz:g} Hz apart"
        raise DspError(
            "two_tones", "tones too low or close", given=(low_hz, high_hz), allowed=allowed
        )
    while _meets(low, high):
        high += 1
    angle = 2 * np.pi * np.arange(period) / period
    wave = ratio * np.sin(low * angle) + np.sin(high * angle)
    ramp = int(np.ceil(FADE_S * sample_rate_hz))
    count = periods * period + ramp
    samples = wave[np.arange(count) % period] * (rms_v / np.sqrt(np.mean(np.square(wave))))
    return Rendered(
        samples=faded(samples, fade_samples=ramp),
        segment=BroadbandSegment(
            start=0,
            stop=count,
            low_hz=low * bin_hz,
            high_hz=high * bin_hz,
            frequency_hz=np.array([low, high]) * bin_hz,
            period=period,
        ),
    )


def _meets(low: int, high: int) -> bool:
    return any(
        multiple * high % low == 0 and multiple * high // low <= _HIGHEST_HARMONIC
        for multiple in range(1, _HIGHEST_MULTIPLE + 1)
    )
