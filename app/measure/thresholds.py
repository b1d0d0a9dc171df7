"""From which offset of its limits on each unit conforms, and up to which it fails."""

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from app.measure.rejudge import Judged, MaskTrial
from app.measure.standing import Standing, rooms
from app.measure.trial import Trial
from dsp import Floats, read_only
from dsp.conformity.mask import MaskLines


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
    """Find how far limits would have to be moved for each unit.

    The room that a unit has, guard band and all, grows by just the offset.
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
    lines = MaskLines(upper=one.mask.upper, lower=one.mask.lower)
    for standing in one.standings:
        ours = standing.held.members
        found = _of_set(standing, lines=lines)
        conforms_from[ours], fails_below[ours] = found.conforms_from, found.fails_below
    conforms_from[trial.barred], fails_below[trial.barred] = np.inf, -np.inf
    return Thresholds(conforms_from=conforms_from, fails_below=fails_below)


def _of_set(standing: Standing, *, lines: MaskLines) -> Thresholds:
    found, own = rooms(standing), standing.held.own
    judged = (found.surely < np.inf) & np.isfinite(standing.offset)
    # Where all was measured and nothing is guarded, what conforms and what fails are next to each
    # other. Otherwise a unit fails from another place on than it conforms from.
    is_simple = standing.guard == 0 and all(own.measured)
    fails = -found.surely if is_simple else _fails_below(standing, lines=lines)
    return Thresholds(
        conforms_from=np.where(judged & found.covered, -found.surely, np.inf),
        fails_below=np.where(judged, fails, -np.inf),
    )


def _fails_below(standing: Standing, *, lines: MaskLines) -> Floats:
    held, worst = standing.held, np.full(standing.offset.shape, -np.inf)
    for hz, columns in (
        (held.frequency_hz, held.own),
        (standing.breaks_hz, held.at(standing.breaks_hz)),
    ):
        upper, lower = lines.upper_at(hz)[:, np.newaxis], lines.lower_at(hz)[:, np.newaxis]
        best = np.minimum(
            upper - (columns.least - standing.offset), columns.most - standing.offset - lower
        )
        if standing.guard:
            best = best + standing.guard * columns.uncertainty  # unknown: nothing fails surely
        outside = np.where(np.isnan(best), -np.inf, -best)
        worst = np.maximum(worst, outside.max(axis=0, initial=-np.inf))
    return worst
