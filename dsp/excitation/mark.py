"""The mark: a short chirp, played before and after everything else, that tells the two clocks."""

import numpy as np

from dsp.arrays import Floats
from dsp.errors import DspError

# A mark that holds fewer periods of its lowest frequency has no band of its own.
_FEWEST_PERIODS = 3.0


def mark(
    *,
    sample_rate_hz: float,
    low_hz: float,
    high_hz: float,
    peak_v: float,
    duration_s: float = 0.015,
) -> Floats:
    """Render a chirp that falls from high to low, as no sweep here does, under a smooth window.

    Parameters
    ----------
    sample_rate_hz : float
        Hz.
    low_hz, high_hz : float
        Hz, the band.
    peak_v : float
        V, not exceeded.
    duration_s : float
        s.

    Returns
    -------
    (n,) array, V; mean zero, first and last sample zero.

    Raises
    ------
    DspError
        A band that does not rise, leaves the band of the converters, or has less than three
        periods of ``low_hz`` in ``duration_s``.
    """
    if not 0 < low_hz < high_hz < sample_rate_hz / 2:
        allowed = f"rising, up to {sample_rate_hz / 2:g} Hz"
        raise DspError("mark", "band", given=(low_hz, high_hz), allowed=allowed)
    if low_hz * duration_s < _FEWEST_PERIODS * (1 - 1e-9):
        allowed = f"from {_FEWEST_PERIODS / duration_s:g} Hz"
        raise DspError("mark", "low_hz too low", given=low_hz, allowed=allowed)
    count = round(duration_s * sample_rate_hz)
    time = np.linspace(0, 1, count)
    phase = 2 * np.pi * duration_s * (high_hz * time - (high_hz - low_hz) * time**2 / 2)
    # Flat over the middle half: more energy than a Hann window, still without an edge.
    window = np.sin(np.pi / 2 * np.clip(4 * np.minimum(time, 1 - time), 0, 1)) ** 2
    chirp = np.sin(phase) * window
    chirp -= window * (chirp.sum() / window.sum())
    out: Floats = chirp * (peak_v / np.max(np.abs(chirp)))
    out[0] = out[-1] = 0.0
    return out
