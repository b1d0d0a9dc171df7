"""Curves of single harmonics and of their sums, relative to the fundamental."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats
from dsp.curve import Curve, ValidRange
from dsp.distortion.order_sum import OrderSum, each_order, order_sum
from dsp.errors import DspError
from dsp.response.harmonics import Harmonics

_DB_PER_NEPER = 20 / np.log(10)
_NO_FUNDAMENTAL = 1e-9  # of the whole: what is left of one that cancels is rounding
_NOTHING = 1e-12  # -240 dB: a ratio that double precision does not tell from none
_BOUNDS = "bounds where noise hides it"


def harmonic_curve(pressure: Harmonics, *, order: int, ratio_uncertainty_db: float = 0.0) -> Curve:
    """Give one harmonic: the only curve of ``harmonic_curves``.

    Parameters
    ----------
    pressure : Harmonics, (k, m)
        Of the microphone's channel.
    order : int
        From 2.
    ratio_uncertainty_db : float
        dB, k = 2.

    Returns
    -------
    Curve, (m,), dB.

    Raises
    ------
    DspError
        ``order`` below 2.
    """
    return harmonic_curves(pressure, orders=[order], ratio_uncertainty_db=ratio_uncertainty_db)[0]


def harmonic_curves(
    pressure: Harmonics, *, orders: Sequence[int], ratio_uncertainty_db: float = 0.0
) -> tuple[Curve, ...]:
    """Give harmonics one by one in dB re the fundamental, at the fundamental's frequency.

    Parameters
    ----------
    pressure : Harmonics, (k, m)
        Of the microphone's channel.
    orders : sequence of int
        From 2, each once.
    ratio_uncertainty_db : float
        dB, k = 2: what the chain adds, between one frequency and another, to that of the noise.

    Returns
    -------
    tuple of Curve, (m,), dB, in the order asked for; each valid range ends where the harmonic can
    no longer be read. A point less than 10 dB above the noise predicted for it is a bound
    (`dsp.distortion.order_sum`). NaN where the harmonic, or the fundamental, cannot be read.

    Raises
    ------
    DspError
        No order, one below 2, or one twice.
    """
    _check(orders, where="harmonic_curves")
    ratio = _ratio(pressure, rest=each_order(pressure, orders=orders), db=ratio_uncertainty_db)
    level_db = 20 * np.log10(ratio.value)
    noise_db = 2 * _DB_PER_NEPER * ratio.relative_uncertainty
    uncertainty = np.hypot(noise_db, ratio_uncertainty_db)
    return tuple(
        Curve(
            frequency_hz=pressure.frequency_hz,
            value=level_db[row],
            unit="dB",
            uncertainty=uncertainty[row],
            is_bound=ratio.is_bound[row],
            valid=_valid(
                pressure.frequency_hz, whole=ratio.whole[row], there=ratio.there[row], top=order
            ),
            how=f"order {order} re fundamental, {_BOUNDS}",
        )
        for row, order in enumerate(orders)
    )


def thd(pressure: Harmonics, *, orders: Sequence[int], ratio_uncertainty_db: float = 0.0) -> Curve:
    """Give total harmonic distortion in % of the fundamental (THD_F).

    Parameters
    ----------
    pressure : Harmonics, (k, m)
        Of the microphone's channel.
    orders : sequence of int
        Those that are summed, in power; from 2, each once.
    ratio_uncertainty_db : float
        dB, k = 2: what the chain adds, between one frequency and another, to that of the noise.

    Returns
    -------
    Curve, (m,), %. Noise power is subtracted; a sum less than 10 dB above its noise is a bound.
    Valid where every order asked for can be read; above, the curve goes on with those that can,
    and reads low. NaN where none can, or where there is no fundamental to refer to.

    Raises
    ------
    DspError
        No order, one below 2, or one twice.

    Notes
    -----
    Referred to the fundamental alone, unlike the ratio to the whole signal of IEC 60268-5;
    the two differ by the factor sqrt(1 + THD_F^2).
    """
    name = "THD_F, orders {} re fundamental, noise power subtracted"
    return _percent(pressure, orders=orders, db=ratio_uncertainty_db, how=name, where="thd")


def high_order(
    pressure: Harmonics, *, orders: Sequence[int], ratio_uncertainty_db: float = 0.0
) -> Curve:
    """Give the sum of high orders, where rub and buzz show, in % of the fundamental.

    Parameters
    ----------
    pressure : Harmonics, (k, m)
        Of the microphone's channel.
    orders : sequence of int
        Those that are summed, in power; from 2, each once.
    ratio_uncertainty_db : float
        dB, k = 2: what the chain adds, between one frequency and another, to that of the noise.

    Returns
    -------
    Curve, (m,), %; as `thd`.

    Raises
    ------
    DspError
        No order, one below 2, or one twice.
    """
    name = "orders {} re fundamental, noise power subtracted"
    return _percent(pressure, orders=orders, db=ratio_uncertainty_db, how=name, where="high_order")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Ratio:
    """Some orders over the fundamental, (m,) each, or (n, m).

    ``there`` where there is a fundamental, ``whole`` where every order can be read besides.
    """

    value: Floats
    relative_uncertainty: Floats
    is_bound: Bools
    there: Bools
    whole: Bools


def _percent(
    pressure: Harmonics, *, orders: Sequence[int], db: float, how: str, where: str
) -> Curve:
    _check(orders, where=where)
    ratio = _ratio(pressure, rest=order_sum(pressure, orders=orders), db=db)
    relative = np.hypot(2 * ratio.relative_uncertainty, db / _DB_PER_NEPER)
    return Curve(
        frequency_hz=pressure.frequency_hz,
        value=100 * ratio.value,
        unit="%",
        uncertainty=100 * ratio.value * relative,
        is_bound=ratio.is_bound,
        valid=_valid(pressure.frequency_hz, whole=ratio.whole, there=ratio.there, top=max(orders)),
        how=f"{how.format(_listed(orders))}, {_BOUNDS}",
    )


def _check(orders: Sequence[int], *, where: str) -> None:
    if not orders or min(orders) < 2 or len(set(orders)) < len(orders):
        raise DspError(where, "orders", given=list(orders), allowed="from 2, each once")


def _ratio(pressure: Harmonics, *, rest: OrderSum, db: float) -> _Ratio:
    first = order_sum(pressure, orders=[1])
    there = _fundamental_is_there(first, rest=rest)
    below = np.where(there, first.amplitude, np.nan)
    # A bound stays one if the fundamental is as small, and the chain as wrong, as they may be.
    least = (below - 2 * first.standard_uncertainty) / 10 ** (db / 20)
    value = np.maximum(rest.amplitude / np.where(rest.is_bound, least, below), _NOTHING)
    with np.errstate(divide="ignore"):  # nothing at all, and no noise: a bound, below
        share = rest.standard_uncertainty / rest.amplitude
    return _Ratio(
        value=value,
        relative_uncertainty=np.hypot(share, first.standard_uncertainty / below),
        is_bound=(rest.is_bound | (value <= _NOTHING)) & np.isfinite(value),
        there=there,
        whole=there & rest.complete,
    )


def _fundamental_is_there(first: OrderSum, *, rest: OrderSum) -> Bools:
    others = np.where(np.isfinite(rest.amplitude), rest.amplitude, 0.0)
    there: Bools = ~first.is_bound & (first.amplitude > _NO_FUNDAMENTAL * others)
    return there


def _valid(frequency_hz: Floats, *, whole: Bools, there: Bools, top: int) -> ValidRange:
    found = frequency_hz[whole]
    if not found.size:
        reason = f"order {top}" if there.any() else "no fundamental"
        ends = (2 * frequency_hz[-1], frequency_hz[0]) if frequency_hz.size else (1.0, 0.0)
        return ValidRange(
            low_hz=float(ends[0]), high_hz=float(ends[1]), low_reason=reason, high_reason=reason
        )
    heard = frequency_hz[there]
    return ValidRange(
        low_hz=float(found[0]),
        high_hz=float(found[-1]),
        low_reason=_end(found[0], heard=heard[0], whole=frequency_hz[0], top=top),
        high_reason=_end(found[-1], heard=heard[-1], whole=frequency_hz[-1], top=top),
    )


def _end(found: float, *, heard: float, whole: float, top: int) -> str:
    if found != heard:
        return f"order {top}"
    return "excitation" if heard == whole else "no fundamental"


def _listed(orders: Sequence[int]) -> str:
    rising = sorted(orders)
    if len(rising) > 2 and rising[-1] - rising[0] == len(rising) - 1:
        return f"{rising[0]} to {rising[-1]}"
    return ", ".join(str(order) for order in rising)
