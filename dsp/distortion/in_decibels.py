"""A distortion in per cent, on the scale of decibels re the fundamental."""

import numpy as np

from dsp.arrays import Floats
from dsp.curve import Curve

_DB_PER_NEPER = 20 / np.log(10)
_LEAST_PERCENT = 1e-10  # -240 dB; a ratio below is none


def percent_in_decibels(percent: Floats) -> Floats:
    """Turn ratios into levels.

    Parameters
    ----------
    percent : array
        %, any shape.

    Returns
    -------
    array, dB re 100 %; what is 0 or below becomes -240 dB.
    """
    level: Floats = 20 * np.log10(np.maximum(percent, _LEAST_PERCENT) / 100)
    return level


def in_decibels(curve: Curve) -> Curve:
    """Turn a curve in % into one in dB re 100 %.

    Parameters
    ----------
    curve : Curve, (n,)
        In %; one that is in dB already is returned as it is.

    Returns
    -------
    Curve, (n,), dB. Its interval is that of the ratio to first order (JCGM 100:2008, 5.1.2), and
    no wider than the value itself, below which the logarithm would tell of none.
    """
    if curve.unit != "%":
        return curve
    uncertainty = None
    if curve.uncertainty is not None:
        value = np.maximum(curve.value, _LEAST_PERCENT)
        uncertainty = _DB_PER_NEPER * np.minimum(curve.uncertainty / value, 1.0)
    return Curve(
        frequency_hz=curve.frequency_hz,
        value=percent_in_decibels(curve.value),
        unit="dB",
        valid=curve.valid,
        uncertainty=uncertainty,
        is_bound=curve.is_bound,
        how=curve.how,
    )
