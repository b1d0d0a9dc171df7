"""Root of the summed power of some orders, with its noise taken out, or what it is at most."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Complexes, Floats
from dsp.response.harmonics import Harmonics

CLEAR_OF_NOISE_DB = 10.0  # below that a sum is mostly noise, and reads high


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class OrderSum:
    """What some orders hold together, at each fundamental frequency; or each of n alone, (n, m).

    Attributes
    ----------
    amplitude : (m,) array
        rms, in the channel's unit: the estimate where it stands clear of the noise, elsewhere an
        upper bound; NaN where none of the orders can be read.
    standard_uncertainty : (m,) array
        Of ``amplitude``, same unit, from noise; NaN at bounds.
    is_bound : (m,) bool array
        True where noise hides the sum.
    complete : (m,) bool array
        True where every order asked for could be read.
    """

    amplitude: Floats
    standard_uncertainty: Floats
    is_bound: Bools
    complete: Bools


def order_sum(harmonics: Harmonics, *, orders: Sequence[int]) -> OrderSum:
    """Add the powers of some orders and take the root.

    Parameters
    ----------
    harmonics : Harmonics
        One channel.
    orders : sequence of int
        From 1; an order that ``harmonics`` does not hold counts as not readable.

    Returns
    -------
    OrderSum. The sum goes on over the orders that can be read where others cannot.

    Notes
    -----
    With phasors y_n = a_n + noise of standard deviation s_n in either part, the root of the
    measured power P = sum |y_n|^2 reads high. Its mean, to second order in s, is
    sqrt(sum |a_n|^2 + 2 sum s_n^2 - s_e^2), s_e^2 = sum |a_n|^2 s_n^2 / sum |a_n|^2, hence
    what is subtracted. Clear of the noise means P at least 10 dB above 2 sum s_n^2.
    Where it is not, the bound is sqrt(P) + 2 max s_n: noise along the direction of the true vector
    alone would have to fall short by two standard deviations for the truth to lie above it, so
    it holds in at least 97.7 % of takes, whatever the number of orders.
    """
    rows = [n - 1 for n in orders if n <= harmonics.amplitude.shape[0]]
    return _summed(
        harmonics.amplitude[rows], harmonics.noise[rows], all_held=len(rows) == len(orders)
    )


def each_order(harmonics: Harmonics, *, orders: Sequence[int]) -> OrderSum:
    """Read some orders one by one, all at once.

    Parameters
    ----------
    harmonics : Harmonics
        One channel.
    orders : sequence of int
        n of them, as of ``order_sum``.

    Returns
    -------
    OrderSum, arrays (n, m): row for row what ``order_sum`` gives of that order alone.
    """
    rows = np.array(orders) - 1
    held = harmonics.amplitude.shape[0]
    last = np.minimum(rows, held - 1)
    amplitude = np.where((rows < held)[:, np.newaxis], harmonics.amplitude[last], np.nan)
    return _summed(amplitude[np.newaxis], harmonics.noise[last][np.newaxis], all_held=True)


def _summed(amplitude: Complexes, noise: Floats, *, all_held: bool) -> OrderSum:
    # Over the first axis.
    power = np.abs(amplitude) ** 2
    read = np.isfinite(power) & np.isfinite(noise)
    power, noise = np.where(read, power, 0.0), np.where(read, noise, 0.0)
    total, variance = power.sum(axis=0), (noise**2).sum(axis=0)
    along = np.divide(
        (power * noise**2).sum(axis=0), total, out=np.zeros_like(total), where=total > 0
    )
    clear = (total > 0) & (total >= 10 ** (CLEAR_OF_NOISE_DB / 10) * 2 * variance)
    estimate = np.sqrt(np.maximum(total - 2 * variance + along, 0.0))
    bound = np.sqrt(total) + 2 * noise.max(axis=0, initial=0.0)
    some = read.any(axis=0)
    return OrderSum(
        amplitude=np.where(some, np.where(clear, estimate, bound), np.nan),
        standard_uncertainty=np.where(some & clear, np.sqrt(along), np.nan),
        is_bound=some & ~clear,
        complete=read.all(axis=0) & all_held,
    )
