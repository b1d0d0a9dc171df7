"""The part that repeats: its peak, its crest, its high orders, and where in the stroke it lies."""

from dataclasses import dataclass

import numpy as np
from scipy import fft

from dsp.arrays import Bools, Floats, read_only
from dsp.defects.figure import Figure
from dsp.defects.fold import Folded
from dsp.distortion.order_sum import order_sum
from dsp.response.harmonics import Harmonics

HIGH_ORDERS = range(10, 16)
_DB_PER_NEPER = 20 / np.log(10)
# Noise alone has a largest magnitude, too; it scatters by less than this factor.
_CLEAR = 1.3
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
    Noise falls by the root of the number of periods; how much is left in the mean is told by the
    scatter of the periods about it. A peak less than 1.3 times the largest magnitude that this
    noise is expected to have, s sqrt(2 ln(2 n)) for n independent samples, is a bound: itself and
    two standard deviations.
    """
    rows = folded.residual[kept]
    count, columns = rows.shape
    mean = rows.mean(axis=0)
    off = rows - mean
    noise = float(np.sqrt(np.sum(off**2) / (columns * count * (count - 1))))
    at = int(np.argmax(np.abs(mean)))
    peak = float(abs(mean[at]))
    independent = max(_INDEPENDENT_HZ / frequency_hz, 1.0)
    clear = peak > _CLEAR * noise * np.sqrt(2 * np.log(2 * independent))
    return Sync(
        mean_pa=mean,
        peak_db=_relative(peak, noise, folded.fundamental_pa, clear=bool(clear)),
        crest=_crest(mean, peak=peak, noise=noise, clear=bool(clear)),
        high_order_db=_high_order(rows, mean, fundamental_pa=folded.fundamental_pa),
        place_rad=float(folded.phase_rad[at]) if clear else float("nan"),
    )


def _relative(value: float, noise: float, reference: float, *, clear: bool) -> Figure:
    tiny = np.finfo(float).tiny
    at_most = value if clear else value + 2 * noise
    return Figure(
        value=float(20 * np.log10(max(at_most, tiny) / reference)),
        uncertainty=2 * _DB_PER_NEPER * noise / value if clear else float("nan"),
        is_bound=not clear,
    )


def _crest(mean: Floats, *, peak: float, noise: float, clear: bool) -> Figure:
    power = float(np.mean(mean**2)) - noise**2
    if not clear or power <= 0:
        return Figure(value=float("nan"), uncertainty=float("nan"), is_bound=True)
    rms = float(np.sqrt(power))
    return Figure(value=peak / rms, uncertainty=2 * noise / rms, is_bound=False)


def _high_order(rows: Floats, mean: Floats, *, fundamental_pa: float) -> Figure:
    count, columns = rows.shape
    top = min(HIGH_ORDERS.stop, columns // 2)
    orders = [order for order in HIGH_ORDERS if order < top]
    each = fft.rfft(rows, axis=1)[:, :top].T * (np.sqrt(2) / columns)
    # Of either part of the mean's phasor, from the scatter of the periods.
    scatter = np.var(each, axis=1, ddof=1) / (2 * count)
    phasor = fft.rfft(mean)[:top] * (np.sqrt(2) / columns)
    found = order_sum(
        Harmonics(
            frequency_hz=np.ones(1),
            amplitude=phasor[1:, None],
            noise=np.sqrt(scatter)[1:, None],
        ),
        orders=orders,
    )
    amplitude, bound = float(found.amplitude[0]), bool(found.is_bound[0])
    spread = float(found.standard_uncertainty[0])
    tiny = np.finfo(float).tiny
    return Figure(
        value=float(20 * np.log10(max(amplitude, tiny) * np.sqrt(2) / fundamental_pa)),
        uncertainty=float("nan") if bound else 2 * _DB_PER_NEPER * spread / amplitude,
        is_bound=bound,
    )
