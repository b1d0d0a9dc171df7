"""One figure of each of many takes: a number, or the mean of a curve over a band."""

from collections.abc import Sequence

import numpy as np

from app.procedure.names import CURVES
from app.records.first_takes import FirstTake
from app.records.repeated_takes import RepeatedTake
from app.records.store import Store
from dsp import Floats
from dsp.conformity.curve_set import CurveSet


def band_values(
    store: Store,
    takes: Sequence[FirstTake] | Sequence[RepeatedTake],
    *,
    quantity: str,
    band_hz: tuple[float, float] | None = None,
) -> Floats:
    """Read a figure of each take.

    Parameters
    ----------
    store : Store
        Where they are.
    takes : sequence of FirstTake or RepeatedTake
        In any order.
    quantity : str
        A number, or a curve.
    band_hz : (low, high) or None
        Hz, for a curve: its mean over log f between these; None: over all that holds of it.

    Returns
    -------
    (takes,) array, in the quantity's unit; NaN where it is not known, hidden by noise, or does not
    hold over the whole band.
    """
    if quantity not in CURVES:
        found = store.numbers([quantity], take_ids=[one.take_id for one in takes])
        numbers = [found[one.take_id].get(quantity) for one in takes]
        return np.array(
            [
                one.value if one is not None and one.trusted and not one.is_bound else np.nan
                for one in numbers
            ]
        )
    values = np.full(len(takes), np.nan)
    sets = store.curve_sets([quantity], takes=[one.number for one in takes])[quantity]
    for one in sets:
        values[one.members] = _means(one, band_hz=band_hz)
    return values


def _means(one: CurveSet, *, band_hz: tuple[float, float] | None) -> Floats:
    hz = one.frequency_hz
    slack = 1e-9  # a typed 300 Hz and a computed 300 Hz are the same
    if band_hz is None:
        inside = np.ones(hz.shape, dtype=np.bool_)
        counts = (hz >= one.low_hz[:, np.newaxis] * (1 - slack)) & (
            hz <= one.high_hz[:, np.newaxis] * (1 + slack)
        )
        whole = counts.any(axis=1)
    else:
        inside = (hz >= band_hz[0] * (1 - slack)) & (hz <= band_hz[1] * (1 + slack))
        counts = np.ones((one.members.size, int(inside.sum())), dtype=np.bool_)
        whole = (one.low_hz <= band_hz[0] * (1 + slack)) & (one.high_hz >= band_hz[1] * (1 - slack))
    value = one.value[:, inside]
    whole &= (np.isfinite(value) & ~one.is_bound[:, inside] | ~counts).all(axis=1)
    width = np.gradient(np.log(hz[inside])) if inside.sum() > 1 else np.ones(int(inside.sum()))
    weight = np.where(counts, width, 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.where(counts, value * weight, 0.0).sum(axis=1) / weight.sum(axis=1)
    found: Floats = np.where(whole, mean, np.nan)
    return found
