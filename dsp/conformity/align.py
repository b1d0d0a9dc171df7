"""The level offset that a shape mask forgives."""

import math

import numpy as np

from dsp.arrays import Floats
from dsp.conformity.deviation import deviation_at
from dsp.conformity.mask import MaskLines
from dsp.curve import Curve, ValidRange


def level_offset(
    curve: Curve, *, mask: MaskLines, reference: Curve | None, band: ValidRange
) -> float:
    """Average how far a curve lies from its reference, or from the middle of its mask.

    Parameters
    ----------
    curve : Curve
        What is judged.
    mask : MaskLines
        Its limits; without a reference only where it has both.
    reference : Curve or None
        What the limits are about.
    band : ValidRange
        Hz, the span that is averaged over.

    Returns
    -------
    float, in the curve's unit: the mean over log f of the curve's own points in the band, each
    with the width of its cell; equal weights where they are evenly spaced. Bounds and missing
    points are left out. NaN where nothing is left.
    """
    places = curve.frequency_hz[band.holds(curve.frequency_hz)]
    away = deviation_at(curve, reference=reference, frequency_hz=places).measured
    if reference is None:
        away = away - middle(mask, frequency_hz=places)
    known = np.isfinite(away)
    if not known.any():
        return math.nan
    if places.size == 1:
        return float(away[0])
    width = np.gradient(np.log(places))[known]
    return float(np.sum(away[known] * width) / np.sum(width))


def middle(mask: MaskLines, *, frequency_hz: Floats) -> Floats:
    """Read half way between the limits.

    Parameters
    ----------
    mask : MaskLines
        Its limits.
    frequency_hz : (n,) array
        Hz.

    Returns
    -------
    (n,) array, NaN where a limit is missing.
    """
    upper, lower = mask.upper_at(frequency_hz), mask.lower_at(frequency_hz)
    both = np.isfinite(upper) & np.isfinite(lower)
    half: Floats = np.where(
        both, (np.where(both, upper, 0.0) + np.where(both, lower, 0.0)) / 2, np.nan
    )
    return half
