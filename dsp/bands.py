"""Fractional-octave bands on the base-ten scale: exact midbands, edges and nominal names."""

import math
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats, read_only
from dsp.errors import DspError
from dsp.preferred import nearest_preferred

OCTAVE_RATIO = 10**0.3  # IEC 61260-1:2014, 5.2: not 2
REFERENCE_HZ = 1000.0  # IEC 61260-1:2014, 5.3
_SLACK = 1e-9  # a typed 20 Hz and a computed 20 Hz are the same end


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Bands:
    """Adjoining bands, each one ``per_octave``-th of an octave wide.

    Attributes
    ----------
    per_octave : int
        Bands an octave.
    midband_hz, low_hz, high_hz : (n,) array
        Hz, exact; the upper edge of a band is the lower edge of the next.
    """

    per_octave: int
    midband_hz: Floats
    low_hz: Floats
    high_hz: Floats

    def __post_init__(self) -> None:
        for name in ("midband_hz", "low_hz", "high_hz"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    @property
    def nominal_hz(self) -> Floats:
        """Rounded names, (n,), Hz (IEC 61260-1:2014, annex E).

        Octaves and third-octaves are named by the R10 series. Narrower bands are rounded to three
        digits where the first is 1 to 4, otherwise to two, and from 1/25 octave on to one more.
        """
        if self.per_octave in {1, 3}:
            return nearest_preferred(self.midband_hz, series=10)
        extra = 1 if self.per_octave > 24 else 0
        digits = [extra + (3 if f"{hz:e}"[0] in "1234" else 2) for hz in self.midband_hz]
        named = [float(f"{hz:.{n}g}") for hz, n in zip(self.midband_hz, digits, strict=True)]
        return np.array(named, dtype=np.float64)


def fractional_octave_bands(per_octave: int, *, low_hz: float, high_hz: float) -> Bands:
    """List the bands whose nominal place lies inside a span.

    Parameters
    ----------
    per_octave : int
        Bands an octave, from 1. For an even number no midband falls on 1 kHz, an edge does.
    low_hz, high_hz : float
        Hz; a band belongs to the span where its midband, as the exact frequency or by the name
        of that band in the R10 series (20 Hz for 19.95 Hz), is inside, ends included.

    Returns
    -------
    Bands, rising; may hold none.

    Raises
    ------
    DspError
        ``per_octave`` below 1, or a span that does not rise from above 0 Hz.

    Notes
    -----
    IEC 61260-1:2014, 5.2 to 5.6.
    """
    check_span("fractional_octave_bands", low_hz=low_hz, high_hz=high_hz, per_octave=per_octave)
    offset = 0.5 if per_octave % 2 == 0 else 0.0
    # One step more on either side: the exact midband of the band named 20 Hz lies below 20 Hz.
    first = math.floor(_steps(low_hz, per_octave=per_octave) - offset) - 1
    last = math.ceil(_steps(high_hz, per_octave=per_octave) - offset) + 1
    steps = np.arange(first, last + 1, dtype=np.float64) + offset
    whole = Bands(
        per_octave=per_octave,
        midband_hz=_ladder(steps, per_octave=per_octave),
        low_hz=_ladder(steps - 0.5, per_octave=per_octave),
        high_hz=_ladder(steps + 0.5, per_octave=per_octave),
    )
    name = whole.nominal_hz if per_octave in {1, 3} else whole.midband_hz
    keep = np.zeros(steps.size, dtype=np.bool_)
    for place in (name, whole.midband_hz):
        keep |= (place >= low_hz * (1 - _SLACK)) & (place <= high_hz * (1 + _SLACK))
    return Bands(
        per_octave=per_octave,
        midband_hz=whole.midband_hz[keep],
        low_hz=whole.low_hz[keep],
        high_hz=whole.high_hz[keep],
    )


def half_band_ratio(per_octave: float) -> float:
    """Tell how far the edges of a band lie from its middle.

    Parameters
    ----------
    per_octave : float
        Bands an octave.

    Returns
    -------
    float, upper edge over midband, and midband over lower edge (IEC 61260-1:2014, 5.5).
    """
    return float(OCTAVE_RATIO ** (0.5 / per_octave))


def check_span(where: str, *, low_hz: float, high_hz: float, per_octave: int) -> None:
    """Refuse a span that does not rise, or a division of the octave below 1.

    Parameters
    ----------
    where : str
        Who asks.
    low_hz, high_hz : float
        Hz.
    per_octave : int
        Steps an octave.

    Raises
    ------
    DspError
    """
    if per_octave < 1:
        raise DspError(where, "per_octave too small", given=per_octave, allowed="from 1")
    if not 0 < low_hz < high_hz < math.inf:
        raise DspError(
            where, "span does not rise", given=f"{low_hz} to {high_hz} Hz", allowed="0 < low < high"
        )


def _steps(frequency_hz: float, *, per_octave: int) -> float:
    return per_octave * math.log10(frequency_hz / REFERENCE_HZ) / 0.3


def _ladder(steps: Floats, *, per_octave: int) -> Floats:
    ladder: Floats = REFERENCE_HZ * 10 ** (0.3 * steps / per_octave)
    return ladder
