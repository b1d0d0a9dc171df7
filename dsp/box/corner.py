"""Where the predicted response ends below, and how high it stands on its way there."""

import math
from dataclasses import replace

import numpy as np
from scipy.optimize import brentq

from dsp.acoustic.air import Air
from dsp.arrays import Floats
from dsp.box.enclosure import Box
from dsp.box.motion import motion
from dsp.box.unit import BoxUnit, passband_pa_per_v

_TO_CROSS, _TO_PEAK = 16, 96  # points an octave; a crossing is then closed in on
_LOWEST, _HIGHEST = 1 / 32, 64  # of fs


def relative_db(
    unit: BoxUnit, *, box: Box, air: Air, frequency_hz: Floats, source_ohm: float = 0.0
) -> Floats:
    """Find the response against the level that it runs out to.

    Parameters
    ----------
    unit, box, air : BoxUnit, ClosedBox or VentedBox, Air
        The unit's inductance is left out, without which the response is flat far above.
    frequency_hz : (m,) array
        Hz.
    source_ohm : float
        ohm in series.

    Returns
    -------
    (m,) array, dB.
    """
    bare = replace(unit, le_h=0.0, pairs=(), semi=(0.0, 0.5))
    moved = motion(bare, box=box, air=air, frequency_hz=frequency_hz, source_ohm=source_ohm)
    flow = np.abs(moved.total_flow) * 2 * np.pi * frequency_hz
    pressure = air.density_kg_per_m3 * flow / (2 * math.pi)
    lost = unit.re_ohm / (unit.re_ohm + source_ohm)  # of the flat part too
    relative: Floats = 20 * np.log10(pressure / (passband_pa_per_v(unit, air=air) * lost))
    return relative


def corner_hz(
    unit: BoxUnit, *, box: Box, air: Air, drop_db: float, source_ohm: float = 0.0
) -> float:
    """Find where the response, coming from above, first falls by so much.

    Parameters
    ----------
    unit, box, air : BoxUnit, ClosedBox or VentedBox, Air
        Inductance is left out.
    drop_db : float
        dB below the flat part: 3.0103 for half the power, 10 for the effective range of
        IEC 60268-5.
    source_ohm : float
        ohm in series.

    Returns
    -------
    float, Hz; NaN where it doesn't between fs / 32 and 64 fs.
    """
    hz = _grid(unit, per_octave=_TO_CROSS)
    level = relative_db(unit, box=box, air=air, frequency_hz=hz, source_ohm=source_ohm)
    below = np.flatnonzero(level < -drop_db)
    if not below.size or below[-1] == hz.size - 1:
        return math.nan

    def above(place: float) -> float:
        at = np.array([math.exp(place)])
        found = relative_db(unit, box=box, air=air, frequency_hz=at, source_ohm=source_ohm)
        return float(found[0]) + drop_db

    ends = math.log(hz[below[-1]]), math.log(hz[below[-1] + 1])
    return math.exp(brentq(above, *ends, xtol=1e-13))


def peak_db(unit: BoxUnit, *, box: Box, air: Air, source_ohm: float = 0.0) -> float:
    """Find how far the response rises above its flat part.

    Parameters
    ----------
    unit, box, air : BoxUnit, ClosedBox or VentedBox, Air
        Inductance is left out.
    source_ohm : float
        ohm in series.

    Returns
    -------
    float, dB; 0 where it never does.
    """
    relative = relative_db(
        unit, box=box, air=air, frequency_hz=_grid(unit, per_octave=_TO_PEAK), source_ohm=source_ohm
    )
    return max(0.0, float(np.max(relative)))


def _grid(unit: BoxUnit, *, per_octave: int) -> Floats:
    octaves = math.log2(_HIGHEST / _LOWEST)
    return unit.fs_hz * np.geomspace(_LOWEST, _HIGHEST, round(octaves * per_octave) + 1)
