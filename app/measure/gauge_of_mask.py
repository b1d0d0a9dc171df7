"""A gauge studied by stored repeats, and held against the mask that it serves."""

from dataclasses import dataclass

import numpy as np

from app.measure.gauge import GaugeOfLimit, GaugeStudy, gauge_of_limit
from app.measure.gauge_of_takes import By, gauge_of_takes
from app.measure.held import held
from app.measure.rejudge import MaskTrial
from app.measure.trial import Trial
from app.records.store import Store
from dsp import Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class GaugeOfMask:
    """The study, and what it leaves of the mask's limits."""

    study: GaugeStudy
    limit: GaugeOfLimit


def gauge_of_mask(
    store: Store, trial: Trial, result: MaskTrial, *, by: By, lot: str | None
) -> GaugeOfMask:
    """Study the gauge of a mask's quantity.

    Parameters
    ----------
    store : Store
        With repeats of the same units.
    trial : Trial
        Units that tell where their middle lies, for a mask with one limit.
    result : MaskTrial
        Of the mask.
    by : "station" or "day"
        What stands for the operators.
    lot : str or None
        Repeats of this lot only.

    Raises
    ------
    BadInputError
        No two units with repeats.
    """
    study = gauge_of_takes(
        store, procedure=trial.procedure, quantity=result.mask.quantity, lot=lot, by=by
    )
    middle = _middle(trial, result, at_hz=study.frequency_hz)
    return GaugeOfMask(study=study, limit=gauge_of_limit(study, mask=result.mask, middle=middle))


def _middle(trial: Trial, result: MaskTrial, *, at_hz: Floats | None) -> Floats | None:
    those = held(trial, result) if at_hz is not None else None
    if at_hz is None or those is None:
        return None
    median = those.spread().median
    known = np.isfinite(median)
    if not known.any():
        return None
    found: Floats = np.interp(
        np.log(at_hz),
        np.log(those.frequency_hz[known]),
        median[known],
        left=np.nan,
        right=np.nan,
    )
    return found
