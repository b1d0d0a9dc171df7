"""From which offset of its limits on each unit conforms, and up to which it fails."""

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from app.measure.rejudge import Judged, MaskTrial
from app.measure.standing import Standing, rooms
from app.measure.trial import Trial
from dsp import Floats, read_only


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Thresholds:
    """Offsets at which units turn, outward positive, in the unit of the masks that are moved.

    Attributes
    ----------
    conforms_from : (units,) array
        From here on; infinite where no offset of these masks helps, minus infinite where no
        offset of them could stop the unit.
    fails_below : (units,) array
        Below here; between both the unit is not decided.
    """

    conforms_from: Floats
    fails_below: Floats


def thresholds(trial: Trial, judged: Judged, *, moved: Collection[str]) -> Thresholds:
    """Read from what is known of each unit how far limits would have to be moved.

    The room that each unit surely has, guard band and all, grows by just the offset: so where it
    conforms is exact. Where a unit begins to fail is exact without a guard band; with one, the band
    is taken to be as wide as where the unit has least room.
    """
    conforms_from = np.full(trial.size, -np.inf)
    fails_below = np.full(trial.size, -np.inf)
    for name, one in judged.masks.items():
        turns = _moved(trial, one) if name in moved else _kept(one)
        conforms_from = np.maximum(conforms_from, turns.conforms_from)
        fails_below = np.maximum(fails_below, turns.fails_below)
    return Thresholds(conforms_from=read_only(conforms_from), fails_below=read_only(fails_below))


def _kept(one: MaskTrial) -> Thresholds:
    return Thresholds(
        conforms_from=np.where(one.conforms, -np.inf, np.inf),
        fails_below=np.where(one.fails, np.inf, -np.inf),
    )


def _moved(trial: Trial, one: MaskTrial) -> Thresholds:
    conforms_from, fails_below = np.full(trial.size, np.inf), np.full(trial.size, -np.inf)
    for standing in one.standings:
        ours = standing.held.members
        found = _of_set(standing)
        conforms_from[ours], fails_below[ours] = found.conforms_from, found.fails_below
    conforms_from[trial.barred], fails_below[trial.barred] = np.inf, -np.inf
    return Thresholds(conforms_from=conforms_from, fails_below=fails_below)


def _of_set(standing: Standing) -> Thresholds:
    found = rooms(standing)
    judged = found.surely < np.inf
    outside = np.where(found.at_best < 0, found.at_best, found.known)
    band = np.zeros(judged.shape)
    if standing.guard:
        sure = np.isfinite(found.surely) & np.isfinite(found.known)
        np.subtract(found.known, found.surely, out=band, where=sure)
    return Thresholds(
        conforms_from=np.where(judged & found.covered, -found.surely, np.inf),
        fails_below=np.where(judged & np.isfinite(outside), -outside - band, -np.inf),
    )
