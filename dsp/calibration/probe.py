"""What is played to prove the electrical links: sines that are read one by one."""

import numpy as np

from dsp.excitation.assemble import assemble
from dsp.excitation.excitation import Excitation
from dsp.excitation.stepped_sine import Zone, stepped_sine
from dsp.excitation.tones import SETTLE_S, tones

_SETTLE_PERIODS, _SETTLE_S = 2.0, 0.03  # wires settle at once, what couples them does not quite
_HOLD_PERIODS, _HOLD_S = 8.0, 0.15
_QUIET_S = 0.5  # idle noise is read there as well, down to 20 Hz


def steady_probe(
    sample_rate_hz: float, *, frequency_hz: float = 1000.0, peak: float = 0.5, hold_s: float = 2.0
) -> Excitation:
    """Render one long sine: what a voltmeter is held to.

    Parameters
    ----------
    sample_rate_hz : float
        Hz.
    frequency_hz : float
        Hz.
    peak : float
        Full-scale units, 0 to 1.
    hold_s : float
        s that count, besides the time in which it settles.

    Returns
    -------
    Excitation in full-scale units; silence first, so that the idle noise is recorded too.
    """
    rendered = tones(
        sample_rate_hz=sample_rate_hz, hz=[frequency_hz], dwell_s=SETTLE_S + hold_s, peak_v=peak
    )
    return assemble([rendered], sample_rate_hz=sample_rate_hz, quiet_s=_QUIET_S)


def stepped_probe(
    sample_rate_hz: float,
    *,
    low_hz: float = 20.0,
    high_hz: float = 20_000.0,
    per_octave: int = 3,
    peak: float = 0.5,
) -> Excitation:
    """Render a stepped sine: responses, crosstalk, distortion and resistors are read from it.

    Parameters
    ----------
    sample_rate_hz : float
        Hz.
    low_hz, high_hz : float
        Hz; the upper end is brought down to 0.45 of the sample rate.
    per_octave : int
        Points an octave.
    peak : float
        Full-scale units, 0 to 1.

    Returns
    -------
    Excitation in full-scale units.
    """
    rendered = stepped_sine(
        sample_rate_hz=sample_rate_hz,
        zones=[
            Zone(
                from_hz=low_hz,
                to_hz=float(np.minimum(high_hz, 0.45 * sample_rate_hz)),
                per_octave=per_octave,
            )
        ],
        settle_periods=_SETTLE_PERIODS,
        settle_s=_SETTLE_S,
        hold_periods=_HOLD_PERIODS,
        hold_s=_HOLD_S,
        peak_v=peak,
    )
    return assemble([rendered], sample_rate_hz=sample_rate_hz, quiet_s=_QUIET_S)
