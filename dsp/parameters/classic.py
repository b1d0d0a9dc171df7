"""The classic reading of an impedance: height and width of its peak, no fit.

fs and the maximum from the peak, Re from the lowest resistance beside it, and Qms from the two
frequencies at which |Z| is the geometric mean of both: Qms = fs sqrt(r0) / (f2 - f1), with
r0 = R_max / Re; Qes = Qms / (r0 - 1) (A. N. Thiele, J. Audio Eng. Soc. 19 (1971) 382; R. H. Small,
J. Audio Eng. Soc. 20 (1972) 383). It takes the inductance for none and the noise for none: it
starts the fit, and a person who knows it sees it beside the fit.
"""

import math
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats
from dsp.errors import DspError
from dsp.parameters.peaks import Peak, peaks
from dsp.parameters.readings import Readings

_CAP = 0.1  # of ln|Z| below the highest point
_AROUND = 8.0  # times the resonance: beyond, the inductance rules


@dataclass(frozen=True, slots=True, kw_only=True)
class Classic:
    """What the peak tells by itself.

    Attributes
    ----------
    re_ohm, r_max_ohm : float
        ohm, lowest resistance beside the peak, and the peak.
    fs_hz, f1_hz, f2_hz : float
        Hz, the peak, and where |Z| is the geometric mean of the two; ``f1_hz`` is fs^2 / f2, or the
        other way round, where the span ends before.
    peak : Peak
        The one that was taken.
    others : tuple of Peak
        What else stands out, by falling rise.
    """

    re_ohm: float
    r_max_ohm: float
    fs_hz: float
    f1_hz: float
    f2_hz: float
    peak: Peak
    others: tuple[Peak, ...]

    @property
    def qms(self) -> float:
        """Mechanical quality factor."""
        return self.fs_hz * math.sqrt(self.r_max_ohm / self.re_ohm) / (self.f2_hz - self.f1_hz)

    @property
    def qes(self) -> float:
        """Electrical quality factor."""
        return self.qms / (self.r_max_ohm / self.re_ohm - 1)

    @property
    def qts(self) -> float:
        """Total quality factor."""
        return self.qms * self.qes / (self.qms + self.qes)


def classic(data: Readings) -> Classic:
    """Read the highest peak of an impedance.

    Parameters
    ----------
    data : Readings
        Points of the impedance.

    Returns
    -------
    Classic

    Raises
    ------
    DspError
        No peak inside the span.
    """
    found = peaks(data)
    low, high = data.frequency_hz[0], data.frequency_hz[-1]
    if not found:
        given = f"{low:.4g} Hz to {high:.4g} Hz"
        allowed = "a span that holds the resonance, and a unit that is free to move"
        raise DspError("parameters", "no peak of the impedance", given=given, allowed=allowed)
    first = found[0]
    top = _top(data, near=first.index)
    fs, r_max = top.hz, top.ohm
    size = np.abs(data.ohm)
    near = (data.frequency_hz > fs / _AROUND) & (data.frequency_hz < fs * _AROUND)
    re = float(np.clip(np.min(data.ohm.real[near]), 0.02 * r_max, 0.95 * r_max))
    excess = np.log(size / math.sqrt(re * r_max))
    log_hz = np.log(data.frequency_hz)
    below = _crossing(log_hz[: first.index + 1][::-1], excess=excess[: first.index + 1][::-1])
    above = _crossing(log_hz[first.index :], excess=excess[first.index :])
    if below is None and above is None:
        below = fs / 1.2  # flatter than that it cannot be: it would not have been a peak
    return Classic(
        re_ohm=re,
        r_max_ohm=r_max,
        fs_hz=fs,
        f1_hz=below if below is not None else fs**2 / (above or fs),
        f2_hz=above if above is not None else fs**2 / (below or fs),
        peak=first,
        others=found[1:],
    )


@dataclass(frozen=True, slots=True)
class _Top:
    hz: float
    ohm: float


def _top(data: Readings, *, near: int) -> _Top:
    # A parabola through the tenth below the highest point, in log f and ln|Z|.
    size, log_hz = np.log(np.abs(data.ohm)), np.log(data.frequency_hz)
    below = np.flatnonzero(size < size[near] - _CAP)
    left = below[below < near].max(initial=-1) + 1
    right = below[below > near].min(initial=size.size)
    left, right = min(left, max(near - 1, 0)), max(right, min(near + 2, size.size))
    x = log_hz[left:right] - log_hz[near]
    bend, slope, height = np.polyfit(x, size[left:right], 2)
    at = -slope / (2 * bend) if bend < 0 else 0.0
    if not x[0] <= at <= x[-1]:
        at = 0.0
    top = height + at * (slope + at * bend)
    return _Top(float(np.exp(log_hz[near] + at)), float(np.exp(top)))


def _crossing(log_hz: Floats, *, excess: Floats) -> float | None:
    # From the peak outward: where the curve first comes through zero, on a straight line.
    through = np.flatnonzero(excess < 0)
    if not through.size or not through[0]:
        return None
    n = int(through[0])
    part = excess[n - 1] / (excess[n - 1] - excess[n])
    return float(np.exp(log_hz[n - 1] + part * (log_hz[n] - log_hz[n - 1])))
