"""A few long tones, one after the other: what rub, buzz and loose particles are heard in."""

from collections.abc import Sequence

import numpy as np

from dsp.errors import DspError
from dsp.excitation.allowed import require_playable, require_positive
from dsp.excitation.rendered import Rendered
from dsp.excitation.steps import steps

SETTLE_S = 0.06  # a suspension that starts to move needs longer than a stepped sine gives it


def tones(*, sample_rate_hz: float, hz: Sequence[float], dwell_s: float, peak_v: float) -> Rendered:
    """Render long tones; of each the first 60 ms settle, the whole periods after that count.

    Parameters
    ----------
    sample_rate_hz : float
        Hz.
    hz : sequence of float
        Hz, in the order in which they are played.
    dwell_s : float
        s on each tone, settling included; shortened to whole periods, to the nearest sample.
    peak_v : float
        V across the terminals.

    Returns
    -------
    Rendered, with a ToneSegment; V.

    Raises
    ------
    DspError
        No tone, a frequency that the rate cannot hold, no level, or less than two periods after
        the first 60 ms.
    """
    require_positive("tones", dwell_s=dwell_s, peak_v=peak_v)
    if not len(hz):
        raise DspError("tones", "no tone", allowed="at least one")
    for one in hz:
        require_playable("tones", sample_rate_hz=sample_rate_hz, hz=one)
    frequency = np.array(hz, dtype=np.float64)
    periods = np.floor((dwell_s - SETTLE_S) * frequency + 1e-6)
    if (lowest := float(frequency.min())) and periods.min() < 2:
        allowed = f"from {SETTLE_S + 2 / lowest:g} s: two periods of {lowest:g} Hz after 60 ms"
        raise DspError("tones", "dwell_s too short", given=dwell_s, allowed=allowed)
    return steps(
        frequency,
        sample_rate_hz=sample_rate_hz,
        settle_samples=np.full(frequency.size, round(SETTLE_S * sample_rate_hz), dtype=np.int64),
        hold_samples=np.rint(periods * sample_rate_hz / frequency).astype(np.int64),
        peak_v=peak_v,
    )
