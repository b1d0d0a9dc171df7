"""How loud the part is that does not repeat: rms and largest magnitude re the fundamental."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools
from dsp.defects.figure import Figure
from dsp.defects.fold import Folded

# A quarter of a second of silence tells the noise of the take to about 1 dB (k = 2).
_NOISE_KNOWN = 10 ** (1.0 / 10) - 1
_DB_PER_POWER = 10 / np.log(10)
# Largest magnitude of noise over its rms in half a second of the band, and what it scatters by.
_NOISE_CREST, _NOISE_CREST_SD = 4.4, 0.35


@dataclass(frozen=True, slots=True, kw_only=True)
class RandomLevel:
    """dB re the fundamental: rms re its rms, peak re its peak."""

    rms_db: Figure
    peak_db: Figure


def random_level(folded: Folded, *, kept: Bools, noise_pa: float) -> RandomLevel:
    """Measure what does not repeat, and take the noise of the silence out of its power.

    Parameters
    ----------
    folded : Folded
        (m, k) Pa.
    kept : (m,) bool array
        At least two.
    noise_pa : float
        Pa rms, of the silence in the same band.

    Returns
    -------
    RandomLevel; bounds where it is not 1 dB above the silence, peaks where noise may make them.
    """
    rows = folded.residual[kept]
    count = rows.shape[0]
    off = rows - rows.mean(axis=0)
    # The mean took its share of the power along.
    power = float(np.mean(off**2)) * count / (count - 1)
    peak = float(np.max(np.abs(off)))
    known = _NOISE_KNOWN * noise_pa**2
    excess = power - noise_pa**2
    rms = folded.fundamental_pa / np.sqrt(2)
    clear = excess > known
    likely = _NOISE_CREST * noise_pa
    loud = peak > likely + 4 * _NOISE_CREST_SD * noise_pa
    nan, tiny = float("nan"), np.finfo(float).tiny
    return RandomLevel(
        rms_db=Figure(
            value=float(10 * np.log10(max(excess if clear else max(excess, 0) + known, tiny)))
            - float(20 * np.log10(rms)),
            uncertainty=_DB_PER_POWER * known / excess if clear else nan,
            is_bound=not clear,
        ),
        peak_db=Figure(
            value=float(20 * np.log10(max(peak, tiny) / folded.fundamental_pa)),
            uncertainty=float(2 * _DB_PER_POWER * 2 * noise_pa / peak) if loud else nan,
            is_bound=not loud,
        ),
    )
