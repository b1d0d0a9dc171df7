"""A mask on the units that it judges: both limits, the spread, the units that were chosen."""

from collections.abc import Sequence

import numpy as np

from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.mask import PlotMask
from app.desktop.plots.note import PlotNote
from app.desktop.plots.spread import PlotSpread
from app.desktop.presenters.limits_figures import decimals_of
from app.desktop.presenters.limits_point import Chosen
from app.desktop.presenters.limits_scale import Scale, scale_of
from app.measure.held import Held
from app.measure.rejudge import MaskTrial
from app.measure.trial import Trial
from app.procedure.edit_masks import SIDES, Side, points_of, value_of
from app.procedure.mask_schema import Mask
from dsp import Floats
from dsp.statistics.spread import Spread

_FIRST_OVERLAY = 2  # take 1 is the chosen take of the Measure bay


def limit_lines(
    mask: Mask, *, before: Mask | None, chosen: Chosen | None, broken_by: tuple[str, ...]
) -> tuple[PlotMask, ...]:
    """Return both limits with handles; each is named by its side.

    Parameters
    ----------
    mask : Mask
        The draft's, over frequency.
    before : Mask or None
        As it was before; None where nothing of that name was.
    chosen : Chosen or None
        The point whose handle is large.
    broken_by : tuple of str
        Names of the lines that are held against it.

    Returns
    -------
    tuple of PlotMask, upper first.
    """
    drawn = []
    scale = scale_of(mask)
    courses = scale.course(mask)
    old_courses = scale.course(before) if before is not None else {}
    is_draft = before is None or any(getattr(mask, side) != getattr(before, side) for side in SIDES)
    for side in SIDES:
        shape = _shape(mask, side=side)
        if shape is None:
            continue
        old = _shape(before, side=side) if before is not None else None
        has_moved = old is not None and not _same(shape, old)
        if old is not None:
            old = old_courses.get(side, (old[0], scale.drawn(old[1])))
        drawn.append(
            PlotMask(
                name=side,
                sense=side,
                hz=shape[0],
                values=scale.drawn(shape[1]),
                course=courses.get(side),
                editable=True,
                draft=is_draft,
                old=old if has_moved else None,
                broken_by=broken_by,
                chosen=chosen.index if chosen is not None and chosen.side == side else None,
            )
        )
    return tuple(drawn)


def plot_spread(held: Held, *, spread: Spread, trial: Trial, scale: Scale) -> PlotSpread:
    """Return what the units have in common."""
    count = held.members.size
    return PlotSpread(
        hz=held.frequency_hz,
        low=scale.drawn(spread.low),
        p2=scale.drawn(spread.p2),
        median=scale.drawn(spread.median),
        p97=scale.drawn(spread.p97),
        high=scale.drawn(spread.high),
        is_per_cent=scale.is_per_cent,
        name=f"{count} unit{'s' if count != 1 else ''}"
        + (f" of {trial.size}" if count != trial.size else ""),
    )


def unit_lines(
    held: Held, *, chosen: Sequence[int], trial: Trial, mask: Mask
) -> tuple[PlotLine, ...]:
    """Return the curves of single units, in the colours of overlays."""
    names, scale = trial.names, scale_of(mask)
    drawn = []
    for take, unit in enumerate(chosen, start=_FIRST_OVERLAY):
        value = held.of_unit(unit)
        if value is not None:
            drawn.append(
                PlotLine(
                    name=names[unit],
                    x=held.frequency_hz,
                    y=value,
                    right=scale.is_per_cent,  # then it is brought onto the scale by the plot
                    unit="%" if scale.is_per_cent else "",
                    role=LineRole.OVERLAY,
                    take=take,
                    valid=(held.low_hz, held.high_hz),
                    reason=held.low_reason,
                    high_reason=held.high_reason,
                    decimals=min(decimals_of(mask.quantity), 2),
                )
            )
    return tuple(drawn)


def unit_notes(
    held: Held | None, *, chosen: Sequence[int], trial: Trial | None, result: MaskTrial | None
) -> tuple[PlotNote, ...]:
    """Return each drawn unit's serial where it is nearest to a limit."""
    if held is None or trial is None or result is None:
        return ()
    names, scale = trial.names, scale_of(result.mask)
    notes = []
    for place, unit in enumerate(chosen):
        hz, value = result.nearest_hz(unit), held.of_unit(unit)
        if value is None or not np.isfinite(hz):
            continue
        at = float(np.interp(np.log(hz), np.log(held.frequency_hz), value))
        if np.isfinite(at):
            drawn = float(scale.drawn(np.array(at)))
            # Units of one fault are nearest at one place: every other name stands below.
            below = place % 2 == 1
            words = names[unit]
            notes.append(PlotNote(hz=hz, value=drawn, words=words, bold=True, below=below))
    return tuple(notes)


def _shape(mask: Mask, *, side: Side) -> tuple[Floats, Floats] | None:
    points = points_of(mask, side=side)
    if points:
        hz, values = np.array(points, dtype=np.float64).T
        return hz, values
    single = value_of(mask, side=side)
    return None if single is None else (np.zeros(0), np.array([single]))


def _same(one: tuple[Floats, Floats], other: tuple[Floats, Floats]) -> bool:
    return all(np.array_equal(a, b) for a, b in zip(one, other, strict=True))
