"""From which offset of its limits on each unit conforms, and up to which it fails."""

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from app.measure.rejudge import Judged
from app.measure.trial import Trial
from dsp import Floats, read_only


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Thresholds:
    """Offsets at which units turn, outward positive, in the unit of the masks that are moved.

    Attributes
    ----------
    conforms_from : (units,) array
        From here on; infinite where no offset of these masks helps, minus infinite where the
        other masks alone decide and are kept.
    fails_below : (units,) array
        Below here; between both the unit is not decided.
    """

    conforms_from: Floats
    fails_below: Floats


def thresholds(trial: Trial, judged: Judged, *, moved: Collection[str]) -> Thresholds:
    """Read from the margins how far limits would have to be moved."""
    conforms_from = np.full(trial.size, -np.inf)
    fails_below = np.full(trial.size, -np.inf)
    for name, one in judged.masks.items():
        if name not in moved:
            turns = np.where(one.conforms, -np.inf, np.inf)
            fails = np.where(one.fails, np.inf, -np.inf)
        else:
            known = np.isfinite(one.margin)
            turns = np.where(known, -one.margin, np.inf)
            fails = np.where(known, -one.margin, -np.inf)
        conforms_from = np.maximum(conforms_from, turns)
        fails_below = np.maximum(fails_below, fails)
    return Thresholds(conforms_from=read_only(conforms_from), fails_below=read_only(fails_below))
