"""A sine that dwells on one frequency after the other, settled at each, phase continuous."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats
from dsp.errors import DspError
from dsp.excitation.allowed import require_playable, require_positive
from dsp.excitation.rendered import Rendered
from dsp.excitation.steps import steps

_SAME = 1e-6  # relative: below this two points are one; far below the clock error of any card


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """One stretch of a stepped sine with a resolution of its own.

    Attributes
    ----------
    from_hz, to_hz : float
        Hz, both played; ``from_hz`` above ``to_hz`` goes downward.
    per_octave : int
        Points an octave, at least: they lie evenly over the logarithm of frequency.
    """

    from_hz: float
    to_hz: float
    per_octave: int


def zone_points(zones: Sequence[Zone]) -> Floats:
    """List the frequencies of some zones in the order in which they are played.

    Parameters
    ----------
    zones : sequence of Zone
        Hz; where two share a frequency it is played once, in the first.

    Returns
    -------
    (m,) array, Hz.

    Raises
    ------
    DspError
        No zone, a zone without extent, a frequency not above 0, no points an octave.
    """
    if not zones:
        raise DspError("stepped_sine", "no zone", allowed="at least one")
    points: list[float] = []
    for zone in zones:
        require_positive(
            "stepped_sine", from_hz=zone.from_hz, to_hz=zone.to_hz, per_octave=zone.per_octave
        )
        octaves = abs(np.log2(zone.to_hz / zone.from_hz))
        if octaves < _SAME:
            given = f"{zone.from_hz:g} to {zone.to_hz:g} Hz"
            raise DspError("stepped_sine", "a zone without extent", given=given)
        count = max(1, int(np.ceil(octaves * zone.per_octave - _SAME)))
        for hz in np.geomspace(zone.from_hz, zone.to_hz, count + 1):
            if not points or np.min(np.abs(np.array(points) / hz - 1)) > _SAME:
                points.append(float(hz))
    return np.array(points)


def stepped_sine(
    *,
    sample_rate_hz: float,
    zones: Sequence[Zone],
    settle_periods: float,
    settle_s: float,
    hold_periods: float,
    hold_s: float,
    peak_v: float,
) -> Rendered:
    """Render a stepped sine through one or more zones.

    Each point settles for the longer of ``settle_periods`` and ``settle_s`` (the first one, after
    silence, for twice that), then holds for the smallest whole number of periods that is not
    shorter than both ``hold_periods`` and ``hold_s``, to the nearest sample. Phase and amplitude
    are continuous throughout. Frequencies are played as asked for, never moved to whole samples.

    Parameters
    ----------
    sample_rate_hz : float
        Hz.
    zones : sequence of Zone
        Hz and points an octave, in the order in which they are played.
    settle_periods, settle_s : float
        Periods; s. Not negative.
    hold_periods, hold_s : float
        Periods, at least 2; s, not negative.
    peak_v : float
        V across the terminals.

    Returns
    -------
    Rendered, with a ToneSegment; V.

    Raises
    ------
    DspError
        Zones that are none, frequencies from half the sample rate, times or level out of range.
    """
    points = zone_points(zones)
    top_hz = float(points.max())
    require_playable("stepped_sine", sample_rate_hz=sample_rate_hz, frequency_hz=top_hz)
    if not (settle_periods >= 0 and settle_s >= 0 and hold_s >= 0):
        given = (settle_periods, settle_s, hold_s)
        raise DspError("stepped_sine", "a time below 0", given=given, allowed="0 and above")
    if not hold_periods >= 2:
        # Below two periods neighbouring orders can no longer be told apart.
        raise DspError(
            "stepped_sine", "hold_periods outside", given=hold_periods, allowed="2 and above"
        )
    settle = np.maximum(settle_periods / points, settle_s)
    settle[0] *= 2  # after silence everything moves, at a step only a little
    periods = np.ceil(np.maximum(hold_periods, hold_s * points) - _SAME)
    return steps(
        points,
        sample_rate_hz=sample_rate_hz,
        settle_samples=np.ceil(settle * sample_rate_hz - _SAME).astype(np.int64),
        hold_samples=np.rint(periods * sample_rate_hz / points).astype(np.int64),
        peak_v=peak_v,
    )
