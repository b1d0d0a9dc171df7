"""What of a unit goes into its traits and signs, as plain figures."""

import math
from collections.abc import Mapping

import numpy as np

from app.procedure.names import CURVES, NUMBERS
from app.procedure.signature_schema import Band, Figure, Sign, Trait
from dsp import Curve, Number, ValidRange

FIGURES_NEED = "fs_hz"  # the number by which their bands are counted
_PER_DB = math.log(10) / 20


def trait_value(
    trait: Trait,
    *,
    figures: Mapping[str, Figure],
    numbers: Mapping[str, Number],
    curves: Mapping[str, Curve],
    doubted: bool = False,
) -> float:
    """Return a trait before it is taken relative to the usual: 100 ln of its product, or dB.

    Parameters
    ----------
    trait : Trait
        Which.
    figures : mapping by name
        What traits may use of curves.
    numbers, curves : mapping by name
        Of one take.
    doubted : bool
        Whether numbers count that may not be trusted: where those of good units are doubted as
        well, what spoils them is common to all, and cancels.

    Returns
    -------
    float; NaN where something that it needs was not read, is hidden by noise or may not be trusted.
    """
    if trait.curve is not None and trait.band_hz is not None:
        curve = curves.get(trait.curve)
        if curve is None:
            return math.nan
        off = _band_mean(curve, band_hz=trait.less_band_hz) if trait.less_band_hz else 0.0
        return _band_mean(curve, band_hz=trait.band_hz) - off
    total = 0.0
    for name, power in trait.numbers.items():
        total += power * (
            _off_curves(figures[name], numbers=numbers, curves=curves, doubted=doubted)
            if name in figures
            else number_value(name, numbers=numbers, doubted=doubted)
        )
    return 100 * total


def number_value(name: str, *, numbers: Mapping[str, Number], doubted: bool) -> float:
    """Return the natural logarithm of a number, of one in dB that of its ratio.

    Returns
    -------
    float; NaN where it was not read, is hidden by noise, or is doubted and that does not count.
    """
    number = numbers.get(name)
    if number is None or number.is_bound or not (number.trusted or doubted):
        return math.nan
    if NUMBERS[name].startswith("dB"):
        return number.value * _PER_DB
    return math.log(number.value) if number.value > 0 else math.nan


def sign_value(sign: Sign, *, numbers: Mapping[str, Number], curves: Mapping[str, Curve]) -> float:
    """Return the figure that a sign is told by.

    Returns
    -------
    float, in its own unit; for ``nowhere`` 1 where the curve holds nowhere, else 0; NaN where
    there is no figure.
    """
    if sign.curve is None:
        number = numbers.get(sign.number or "")
        return number.value if number is not None else math.nan
    curve = curves.get(sign.curve)
    if curve is None:
        return math.nan
    if sign.nowhere:
        return 0.0 if curve.valid.low_hz < curve.valid.high_hz else 1.0
    low, high = sign.band_hz or (0.0, math.inf)
    inside = (curve.frequency_hz >= low) & (curve.frequency_hz <= high)
    known = curve.value[inside & np.isfinite(curve.value)]
    return float(np.median(known)) if known.size else math.nan


def _off_curves(
    figure: Figure,
    *,
    numbers: Mapping[str, Number],
    curves: Mapping[str, Curve],
    doubted: bool,
) -> float:
    fs_hz = math.exp(number_value(FIGURES_NEED, numbers=numbers, doubted=doubted))
    if math.isnan(fs_hz) or not all(name in curves for name in figure.curves):
        return math.nan
    lower, higher = figure.band_fs
    asked = band = ValidRange(low_hz=lower * fs_hz, high_hz=higher * fs_hz)
    for name in figure.curves:
        band = band.within(curves[name].valid)
    if band.high_hz**2 * asked.low_hz < band.low_hz**2 * asked.high_hz:
        return math.nan  # less than half of what was asked, over log f
    total = 0.0
    for name, power in figure.curves.items():
        value = curves[name].value[band.holds(curves[name].frequency_hz)]
        known = value[np.isfinite(value)]
        if not known.size:
            return math.nan
        level = CURVES[name].startswith("dB")
        total += power * float(np.mean(known * _PER_DB if level else np.log(known)))
    return total


def _band_mean(curve: Curve, *, band_hz: Band) -> float:
    # Points of a sweep stand evenly over log f.
    low, high = band_hz
    hz = curve.frequency_hz
    known = (hz >= low) & (hz <= high) & curve.valid.holds(hz) & np.isfinite(curve.value)
    wide = curve.valid.low_hz <= low and curve.valid.high_hz >= high
    return float(np.mean(curve.value[known])) if wide and known.any() else math.nan
