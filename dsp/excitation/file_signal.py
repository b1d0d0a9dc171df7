"""A given signal (music, speech, an announcement) brought to a level and given soft ends."""

import numpy as np

from dsp.arrays import Floats
from dsp.errors import DspError
from dsp.excitation.allowed import require_positive, require_span
from dsp.excitation.fade import FADE_S, faded
from dsp.excitation.rendered import Rendered
from dsp.excitation.segment import BroadbandSegment

_HIGHEST_MEAN = 0.1  # of the rms: a steady voltage moves the cone and only heats the coil


def file_signal(
    samples: Floats, *, sample_rate_hz: float, start_hz: float, stop_hz: float, rms_v: float
) -> Rendered:
    """Scale a given signal to an rms, with ramps of 5 ms at both ends.

    Parameters
    ----------
    samples : (n,) array
        Any unit, at ``sample_rate_hz``; not changed.
    sample_rate_hz : float
        Hz.
    start_hz, stop_hz : float
        Hz, the span in which the signal is to be read.
    rms_v : float
        V rms of the whole part, ramps included: exact.

    Returns
    -------
    Rendered, with a BroadbandSegment; V.

    Raises
    ------
    DspError
        Samples that are not one channel, not finite, silent, shorter than 20 ms or with a mean
        above a tenth of their rms; a span that the rate cannot hold; no level.
    """
    require_span("file_signal", start_hz=start_hz, stop_hz=stop_hz, sample_rate_hz=sample_rate_hz)
    require_positive("file_signal", rms_v=rms_v)
    ramp = int(np.ceil(FADE_S * sample_rate_hz))
    if samples.ndim != 1 or samples.size < 4 * ramp:
        allowed = f"one channel, {4 * ramp} samples and above"
        raise DspError("file_signal", "shape outside", given=samples.shape, allowed=allowed)
    if not np.all(np.isfinite(samples)):
        raise DspError("file_signal", "samples that are not finite")
    out = faded(samples.astype(np.float64), fade_samples=ramp)
    if not (rms := float(np.sqrt(np.mean(np.square(out))))):
        raise DspError("file_signal", "silent")
    if abs(mean := float(np.mean(out)) / rms) > _HIGHEST_MEAN:
        given, allowed = f"{mean:.2f} of the rms", f"±{_HIGHEST_MEAN:g}"
        raise DspError("file_signal", "mean outside", given=given, allowed=allowed)
    return Rendered(
        samples=out * (rms_v / rms),
        segment=BroadbandSegment(
            start=0, stop=out.size, low_hz=start_hz, high_hz=stop_hz, frequency_hz=np.zeros(0)
        ),
    )
