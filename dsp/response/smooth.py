"""Fractional-octave smoothing of a level curve."""

from dataclasses import dataclass, replace

import numpy as np

from dsp.arrays import Bools, Floats
from dsp.bands import half_band_ratio
from dsp.curve import Curve
from dsp.errors import DspError


def smooth(curve: Curve, *, per_octave: float) -> Curve:
    """Replace every point by the mean power of the band around it.

    Parameters
    ----------
    curve : Curve, (n,)
        A level: unit ``dB`` or ``dB re …``, power in 10 log10.
    per_octave : float
        The band is 1/``per_octave`` octave wide (base ten, IEC 61260-1:2014), its mean is taken
        over log f.

    Returns
    -------
    Curve, (n,), same frequencies, unit and valid range. A band that would reach over an end of
    the valid range (seen from within it), or over an end of the curve, is narrowed on both sides
    alike, so that what is not to be believed does not leak in and a slope stays where it was.
    Missing points are left out of the mean and stay missing. The expanded uncertainty is the
    band's mean, weighted by power: right for errors common to the band (distance, microphone,
    calibrator), which no mean makes smaller; noise alone would average to less. A mean to
    which a bound contributes is a bound.

    Raises
    ------
    DspError
        Not a level, or ``per_octave`` not above 0.
    """
    if curve.unit.split(" ")[0] != "dB":
        raise DspError("smooth", "not a level", given=curve.unit, allowed="dB …")
    if not 0 < per_octave < np.inf:
        raise DspError("smooth", "per_octave not positive", given=per_octave, allowed="above 0")
    how = ", ".join(filter(None, [curve.how, f"smoothed over 1/{per_octave:g} octave"]))
    known = np.isfinite(curve.value)
    if not known.any() or known.size < 2:
        return replace(curve, how=how)
    place = np.log(curve.frequency_hz)
    half = _half_width(curve, place=place, widest=np.log(half_band_ratio(per_octave)))
    top_db = np.max(curve.value[known])
    power = np.where(known, 10 ** ((np.where(known, curve.value, top_db) - top_db) / 10), 0.0)
    bands = _Bands(place=place, known=known, half=half)
    # No mean is below the smallest value; differences of a cumulative sum may round to that.
    mean = np.maximum(bands.mean(power), np.min(power[known]))
    uncertainty = None
    if curve.uncertainty is not None:
        told = np.isfinite(curve.uncertainty)
        weighted = bands.mean(power * np.where(told, curve.uncertainty, 0.0))
        weight = bands.mean(power * told)
        uncertainty = np.divide(
            weighted, weight, out=np.full(weight.shape, np.nan), where=weight > 0
        )
    is_bound = None
    if curve.is_bound is not None:
        is_bound = bands.touched(curve.is_bound & known) | (curve.is_bound & known)
    return replace(
        curve,
        value=top_db + 10 * np.log10(mean),
        uncertainty=uncertainty,
        is_bound=is_bound,
        how=how,
    )


def _half_width(curve: Curve, *, place: Floats, widest: float) -> Floats:
    inside = curve.valid.holds(curve.frequency_hz)
    low = np.full(place.size, place[0])
    high = np.full(place.size, place[-1])
    if inside.any():
        # The points' own ends, so that one which counts as inside never has a negative width.
        low[inside], high[inside] = place[inside][0], place[inside][-1]
    half: Floats = np.minimum(widest, np.minimum(place - low, high - place))
    return half


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Bands:
    """A band around each point, over which the straight lines between points are averaged."""

    place: Floats
    known: Bools
    half: Floats

    # Average over each band, (n,); NaN where the point itself is missing.
    def mean(self, values: Floats) -> Floats:
        pair = self._pair()
        area = np.diff(self.place) * pair * (values[1:] + values[:-1]) / 2
        covered = self._over(np.diff(self.place) * pair)
        some = covered > 1e-12  # narrower than rounding: the point stands for itself
        mean = np.where(some, self._area(area, values=values) / np.where(some, covered, 1), values)
        mean[~self.known] = np.nan
        return mean

    # Tell which bands reach into an interval with a marked end.
    def touched(self, marked: Bools) -> Bools:
        interval = (self._pair() * (marked[1:] | marked[:-1])).astype(np.float64)
        return self._over(np.diff(self.place) * interval) > 1e-12

    # 1 for each interval with a known point at both ends, otherwise 0; (n - 1,).
    def _pair(self) -> Floats:
        return (self.known[1:] & self.known[:-1]).astype(np.float64)

    # Sum what of each interval lies in each band, for densities constant within it.
    def _over(self, pieces: Floats) -> Floats:
        total = np.concatenate([[0.0], np.cumsum(pieces)])
        low, high = self.place - self.half, self.place + self.half
        summed: Floats = np.interp(high, self.place, total) - np.interp(low, self.place, total)
        return summed

    # Integrate the straight lines exactly, band ends between points included.
    def _area(self, pieces: Floats, *, values: Floats) -> Floats:
        total = np.concatenate([[0.0], np.cumsum(pieces)])
        return self._up_to(self.place + self.half, total=total, values=values) - self._up_to(
            self.place - self.half, total=total, values=values
        )

    def _up_to(self, ends: Floats, *, total: Floats, values: Floats) -> Floats:
        left = np.clip(np.searchsorted(self.place, ends, side="right") - 1, 0, self.place.size - 2)
        width = self.place[left + 1] - self.place[left]
        share = np.clip((ends - self.place[left]) / width, 0, 1)
        rise = values[left + 1] - values[left]
        piece = width * share * (values[left] + rise * share / 2)
        summed: Floats = total[left] + self._pair()[left] * piece
        return summed
