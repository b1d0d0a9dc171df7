"""The part that repeats: its peak, its crest, its high orders, and where in the stroke it lies."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats, read_only
from dsp.defects.figure import Figure
from dsp.defects.fold import Folded
from dsp.distortion.order_sum import order_sum
from dsp.response.harmonics import Harmonics

HIGH_ORDERS = range(10, 16)
_DB_PER_NEPER = 20 / np.log(10)
# Noise alone has a largest magnitude, too. Of 9000 tones in pink noise (60, 100 and 160 Hz, 0.4 s)
# none reached 1.4 times what is expected of it; drawn on exponentially, one in 10 000 reaches 1.5.
_CLEAR = 1.5
_TRIM = 0.1
# Samples of a row that are independent, of all: 14.2 kHz of bandwidth.
_INDEPENDENT_HZ = 2 * 14_200.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Sync:
    """What repeats with the period; levels in dB re the fundamental, peak re peak.

    Attributes
    ----------
    mean_pa : (k,) array
        Pa, the mean period.
    peak_db, crest, high_order_db : Figure
        dB; peak over rms; dB, H10 to H15.
    place_rad : float
        rad in the cycle of the displacement; NaN where the peak is a bound.
    """

    mean_pa: Floats
    peak_db: Figure
    crest: Figure
    high_order_db: Figure
    place_rad: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "mean_pa", read_only(self.mean_pa))


def sync(folded: Folded, *, kept: Bools, frequency_hz: float) -> Sync:
    """Average the periods that are kept.

    Parameters
    ----------
    folded : Folded
        (m, k) Pa.
    kept : (m,) bool array
        At least two.
    frequency_hz : float
        Hz of the tone.

    Returns
    -------
    Sync

    Notes
    -----
    The mean leaves out the largest and the smallest tenth at each place of the cycle, so that a
    click in one period is none in the mean. Noise falls by the root of the number of periods; how
    much is left is told by the scatter of the periods, as for any trimmed mean (K. K. Yuen,
    Biometrika 61 (1974) 165). A peak less than 1.5 times the largest magnitude that this
    noise is expected to have, s sqrt(2 ln(2 n)) for n independent samples, is a bound: itself and
    two standard deviations.
    """
    rows = folded.residual[kept]
    middle = _middle(rows)
    mean, columns = middle.mean, middle.mean.size
    at = int(np.argmax(np.abs(mean)))
    peak, noise = float(abs(mean[at])), float(middle.deviation[at])
    independent = max(_INDEPENDENT_HZ / frequency_hz, 1.0)
    clear = peak > _CLEAR * noise * np.sqrt(2 * np.log(2 * min(independent, columns)))
    return Sync(
        mean_pa=mean,
        peak_db=_relative(peak, noise, folded.fundamental_pa, clear=bool(clear)),
        crest=_crest(middle, peak=peak, noise=noise, clear=bool(clear)),
        high_order_db=_high_order(folded.rest[kept], fundamental_pa=folded.fundamental_pa),
        place_rad=float(folded.phase_rad[at]) if clear else float("nan"),
    )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Middle:
    """Trimmed mean over the periods, (k,) Pa, and its standard deviation about each place."""

    mean: Floats
    deviation: Floats


def _middle(rows: Floats) -> _Middle:
    count, columns = rows.shape
    cut = int(_TRIM * count)
    rising = np.sort(rows, axis=0)
    inner = rising[cut : count - cut]
    mean = inner.mean(axis=0)
    off = np.square(inner - mean).sum(axis=0)
    off += cut * (np.square(inner[0] - mean) + np.square(inner[-1] - mean))
    kept = 1 - 2 * cut / count
    variance = off / (count * (count - 1) * kept**2)
    # Neighbours tell of the same noise: about each place its mean over a twelfth of the cycle.
    width = max(columns // 24, 1)
    wrapped = np.concatenate([variance[-width:], variance, variance[:width]])
    total = np.concatenate([[0.0], np.cumsum(wrapped)])
    smooth = (total[2 * width + 1 :] - total[: -2 * width - 1]) / (2 * width + 1)
    return _Middle(mean=mean, deviation=np.sqrt(np.maximum(smooth[:columns], 0.0)))


def _relative(value: float, noise: float, reference: float, *, clear: bool) -> Figure:
    tiny = np.finfo(float).tiny
    at_most = value if clear else value + 2 * noise
    return Figure(
        value=float(20 * np.log10(max(at_most, tiny) / reference)),
        uncertainty=2 * _DB_PER_NEPER * noise / value if clear else float("nan"),
        is_bound=not clear,
    )


def _crest(middle: _Middle, *, peak: float, noise: float, clear: bool) -> Figure:
    power = float(np.mean(middle.mean**2 - middle.deviation**2))
    if not clear or power <= 0:
        return Figure(value=float("nan"), uncertainty=float("nan"), is_bound=True)
    rms = float(np.sqrt(power))
    return Figure(value=peak / rms, uncertainty=2 * noise / rms, is_bound=False)


def _high_order(rows: Floats, *, fundamental_pa: float) -> Figure:
    # Read from all frequencies: the lowest of these orders may lie below the band.
    count, columns = rows.shape
    orders = np.array([order for order in HIGH_ORDERS if order < columns // 2])
    turns = np.outer(np.arange(columns), orders) * (2 * np.pi / columns)
    scale = np.sqrt(2) / columns
    each = scale * (rows @ np.cos(turns) - 1j * (rows @ np.sin(turns)))
    phasor = each.mean(axis=0)
    # Of either part of the mean's phasor, from the scatter of the periods.
    scatter = np.sum(np.abs(each - phasor) ** 2, axis=0) / (2 * count * (count - 1))
    found = order_sum(
        Harmonics(
            frequency_hz=np.ones(1),
            amplitude=phasor[:, None],
            noise=np.sqrt(scatter)[:, None],
        ),
        orders=range(1, orders.size + 1),
    )
    amplitude, bound = float(found.amplitude[0]), bool(found.is_bound[0])
    spread = float(found.standard_uncertainty[0])
    tiny = np.finfo(float).tiny
    return Figure(
        value=float(20 * np.log10(max(amplitude, tiny) * np.sqrt(2) / fundamental_pa)),
        uncertainty=float("nan") if bound else 2 * _DB_PER_NEPER * spread / amplitude,
        is_bound=bound,
    )
