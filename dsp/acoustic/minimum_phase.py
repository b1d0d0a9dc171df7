"""The least phase that a magnitude can have: Bode's integral over log f, in closed form."""

import numpy as np
import scipy.special

from dsp.arrays import Floats
from dsp.errors import DspError


def minimum_phase(
    log_magnitude: Floats,
    *,
    frequency_hz: Floats,
    at_hz: Floats,
    low_slope: float,
    high_slope: float,
) -> Floats:
    """Find the phase of the minimum-phase response that has a given magnitude.

    Between its points the logarithm of the magnitude is a straight line over log f; before the
    first and after the last it goes on with a slope of its own. For straight lines the integral
    (H. W. Bode, Network Analysis and Feedback Amplifier Design, 1945, ch. 14) is a sum of
    dilogarithms, so that no grid, wrap or window comes in.

    Parameters
    ----------
    log_magnitude : (m,) array
        Natural logarithm of the magnitude.
    frequency_hz : (m,) array
        Hz, strictly rising, two points or more.
    at_hz : (q,) array
        Hz where the phase is wanted.
    low_slope, high_slope : float
        Slope below and above the points, d ln|H| / d ln f: 2 is 12 dB an octave upward.

    Returns
    -------
    (q,) array, rad.

    Raises
    ------
    DspError
        Fewer than two points.
    """
    if frequency_hz.size < 2:
        raise DspError("minimum_phase", "too few points", given=frequency_hz.size, allowed="from 2")
    place = np.log(frequency_hz)
    slope = np.diff(log_magnitude) / np.diff(place)
    # By parts: each corner of the line turns the phase by its change of slope.
    corner = np.diff(slope, prepend=low_slope, append=high_slope)
    covered = _coth_integral(place - np.log(at_hz)[:, np.newaxis])
    whole = np.pi**2 / 4
    phase: Floats = ((low_slope + high_slope) * whole - covered @ corner) / np.pi
    return phase


def _coth_integral(u: Floats) -> Floats:
    # Integral of ln coth |v / 2| over v from 0 to u, odd in u: pi^2 / 4 less twice Legendre's chi.
    x = np.exp(-np.abs(u))
    chi = (scipy.special.spence(1 - x) - scipy.special.spence(1 + x)) / 2
    integral: Floats = np.sign(u) * (np.pi**2 / 4 - 2 * chi)
    return integral
