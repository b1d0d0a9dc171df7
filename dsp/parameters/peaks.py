"""Peaks of an impedance's magnitude: where they stand and how far they rise out of it."""

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from dsp.arrays import Floats
from dsp.parameters.readings import Readings

_LEAST_RISE = 0.03  # of ln|Z|
_NOISES = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Peak:
    """One maximum.

    Attributes
    ----------
    index : int
        Point at which it stands.
    hz, ohm : float
        Hz, ohm.
    rise : float
        How far ln|Z| falls on the side where it falls less, before it rises again.
    """

    index: int
    hz: float
    ohm: float
    rise: float


def peaks(data: Readings) -> tuple[Peak, ...]:
    """Find every maximum that stands out of the noise, by falling rise.

    Parameters
    ----------
    data : Readings
        Points of the impedance.

    Returns
    -------
    tuple of Peak; one at either end of the span is none, it may go on rising outside.
    """
    # A single disturbed point is no peak.
    size = _median(np.log(np.abs(data.ohm)), half_width=1 if data.ohm.size < 150 else 2)
    noise = float(np.median(data.spread * np.sqrt(data.independent)))
    step = max(_LEAST_RISE, _NOISES * noise)
    found = [
        Peak(
            index=index,
            hz=float(data.frequency_hz[index]),
            ohm=float(np.exp(size[index])),
            rise=_rise(size, index=index),
        )
        for index in _turns(size, step=step)
    ]
    return tuple(sorted(found, key=lambda peak: -peak.rise))


def _median(values: Floats, *, half_width: int) -> Floats:
    padded = np.pad(values, half_width, mode="edge")
    windows = sliding_window_view(padded, 2 * half_width + 1)
    smooth: Floats = np.partition(windows, half_width, axis=1)[:, half_width]
    return smooth


def _turns(size: Floats, *, step: float) -> list[int]:
    # Tops between which the curve falls, and before and after which it has come up and gone down,
    # by at least a step.
    out, rising = [], False
    top = bottom = 0
    for n, here in enumerate(size.tolist()):
        if rising:
            if here > size[top]:
                top = n
            elif here < size[top] - step:
                out.append(top)
                rising, bottom = False, n
        elif here < size[bottom]:
            bottom = n
        elif here > size[bottom] + step:
            rising, top = True, n
    return out


def _rise(size: Floats, *, index: int) -> float:
    # Down to the lowest point on the way to something higher, on either side.
    falls = []
    for side in (size[index::-1], size[index:]):
        higher = np.flatnonzero(side > size[index])
        falls.append(size[index] - np.min(side[: higher[0]] if higher.size else side))
    return float(min(falls))
