"""One figure over the takes of the list, lot after lot, with means and limits."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from app.desktop.plots.trend_data import TrendGroup, TrendLimits, TrendPoints
from app.desktop.presenters.figures import interval_text, value_text, with_unit
from app.desktop.presenters.measure_names import number_as, quantity_name
from app.desktop.presenters.records_counts import takes_text
from app.procedure.mask_schema import Mask
from app.procedure.names import CURVES, NUMBERS
from app.records.trend import Trend, TrendPoint
from app.report.units import short_unit
from dsp import Floats, Number
from dsp.arrays import Bools
from dsp.statistics.means import GroupMean, difference_of_means, group_mean

MARGIN = "margin "  # before the name of a mask, in the key of what a trend is of
_FEW = 40  # points up to which intervals can be told apart
_NO_LOT = "no lot"


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendChoice:
    """What a trend can be of; ``key`` is a number's name, or MARGIN and the name of a mask."""

    key: str
    text: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class TrendState:
    """The lower half of the middle column.

    Attributes
    ----------
    title, unit : str
        Of the plot.
    points, groups, limits : TrendPoints, tuple of TrendGroup, TrendLimits or None
        As the plot takes them.
    note : str
        One sentence under it; empty where there is nothing to say.
    hint : str
        In the plot as long as it is empty.
    """

    title: str
    unit: str
    points: TrendPoints
    groups: tuple[TrendGroup, ...]
    limits: TrendLimits | None
    note: str
    hint: str


def trend_choices(numbers: Iterable[str], *, masks: Mapping[str, Mask]) -> tuple[TrendChoice, ...]:
    """Offer the numbers that a take has, then the margins to the masks of curves."""
    offered = [name for name in NUMBERS if name in set(numbers) and name != "polarity"]
    return (
        *(TrendChoice(key=name, text=_begun(number_as(name).name)) for name in offered),
        *(
            TrendChoice(key=MARGIN + name, text=f"Margin, {quantity_name(mask.quantity)}")
            for name, mask in masks.items()
            if mask.quantity in CURVES
        ),
    )


def trend_state(
    trend: Trend,
    *,
    key: str,
    masks: Mapping[str, Mask],
    reference: Number | None = None,
    stated: str = "",
) -> TrendState:
    """Present a trend.

    Parameters
    ----------
    trend : Trend
        The oldest first.
    key : str
        Of its TrendChoice.
    masks : mapping of str to Mask
        Limits in force, from the procedure of the newest take.
    reference : Number or None
        The same figure of the reference take, which relative limits count from.
    stated : str
        What the level is stated for; empty where that is not what it is about.
    """
    scale, unit = _shown_as(key, trend=trend, masks=masks)
    lots = _by_lot(trend.points)
    ordered = [point for _, points in lots for point in points]
    values = np.array([point.number.value for point in ordered]) * scale
    limits = _limits(key, masks=masks, scale=scale, reference=reference)
    known = np.isfinite(values)
    means = _means(lots, values=values)
    name = _name(key, masks=masks)
    return TrendState(
        title=f"{_begun(name)} over {'lots' if len(lots) > 1 else 'takes'}",
        unit=stated or short_unit(unit),
        points=TrendPoints(
            x=np.flatnonzero(known).astype(np.float64) + 0.5,
            y=values[known],
            keys=tuple(ordered[place].take_id for place in np.flatnonzero(known)),
            interval=_intervals(ordered, scale=scale)[known] if known.sum() <= _FEW else None,
            fails=_outside(values, limits=limits)[known],
        ),
        groups=_groups(lots, means=means),
        limits=limits,
        note=_note(lots, means=means, unit=unit, missing=int((~known).sum())),
        hint=f"No take of this list has this figure: {name}.",
    )


def no_trend(*, listed: bool) -> TrendState:
    """Present the plot where nothing can be followed."""
    soon = "Takes appear here one after another, lot by lot."
    hint = "Nothing to follow." if listed else soon
    empty = TrendPoints()
    return TrendState(
        title="Trend", unit="", points=empty, groups=(), limits=None, note="", hint=hint
    )


def _by_lot(points: Sequence[TrendPoint]) -> list[tuple[str, list[TrendPoint]]]:
    """Put the takes of a lot together; lots in the order in which they began."""
    began = list(dict.fromkeys(point.lot or _NO_LOT for point in points))
    ordered = sorted(points, key=lambda point: began.index(point.lot or _NO_LOT))
    return [(lot, list(of)) for lot, of in groupby(ordered, key=lambda p: p.lot or _NO_LOT)]


def _shown_as(key: str, *, trend: Trend, masks: Mapping[str, Mask]) -> tuple[float, str]:
    if not key.startswith(MARGIN):
        shown = number_as(key, unit=trend.unit)
        return shown.scale, trend.unit if shown.scale == 1.0 else shown.unit
    mask = masks.get(key.removeprefix(MARGIN))
    return 1.0, CURVES.get(mask.quantity, "") if mask else ""


def _name(key: str, *, masks: Mapping[str, Mask]) -> str:
    if not key.startswith(MARGIN):
        return number_as(key).name
    mask = masks.get(key.removeprefix(MARGIN))
    of = quantity_name(mask.quantity) if mask else key.removeprefix(MARGIN)
    return f"margin of {of}"


def _limits(
    key: str, *, masks: Mapping[str, Mask], scale: float, reference: Number | None
) -> TrendLimits | None:
    if key.startswith(MARGIN):
        return TrendLimits(lower=0.0)
    lower, upper = [], []
    for mask in masks.values():
        if mask.quantity != key or (mask.relative_to and reference is None):
            continue
        base = reference.value if reference is not None and mask.relative_to else 0.0
        lower += [(base + mask.lower) * scale] if isinstance(mask.lower, float | int) else []
        upper += [(base + mask.upper) * scale] if isinstance(mask.upper, float | int) else []
    if not lower and not upper:
        return None
    return TrendLimits(lower=max(lower) if lower else None, upper=min(upper) if upper else None)


def _outside(values: Floats, *, limits: TrendLimits | None) -> Bools:
    outside = np.zeros(values.shape, dtype=np.bool_)
    if limits is not None:
        outside |= values < (-np.inf if limits.lower is None else limits.lower)
        outside |= values > (np.inf if limits.upper is None else limits.upper)
    return outside


def _intervals(points: Sequence[TrendPoint], *, scale: float) -> Floats:
    return np.array([scale * (point.number.uncertainty or np.nan) for point in points])


def _means(
    lots: Sequence[tuple[str, list[TrendPoint]]], *, values: Floats
) -> list[GroupMean | None]:
    ends = np.cumsum([len(points) for _, points in lots])
    return [group_mean(part) for part in np.split(values, ends[:-1])] if lots else []


def _groups(
    lots: Sequence[tuple[str, list[TrendPoint]]], *, means: Sequence[GroupMean | None]
) -> tuple[TrendGroup, ...]:
    words = short_lots([lot for lot, _ in lots])
    groups, start = [], 0
    for (_, points), word, mean in zip(lots, words, means, strict=True):
        end = start + len(points)
        groups.append(TrendGroup(low=start, high=end, word=word, mean=mean.value if mean else None))
        start = end
    return tuple(groups)


def short_lots(lots: Sequence[str]) -> list[str]:
    """Leave out what all lots begin with, up to a hyphen: T4-W30, T4-W31 become W30, W31."""
    heads = {lot.rpartition("-")[0] for lot in lots if lot != _NO_LOT}
    if len(lots) < 2 or len(heads) != 1 or not (head := heads.pop()):
        return list(lots)
    return [lot.removeprefix(f"{head}-") for lot in lots]


def _note(
    lots: Sequence[tuple[str, list[TrendPoint]]],
    *,
    means: Sequence[GroupMean | None],
    unit: str,
    missing: int,
) -> str:
    said = []
    if len(lots) > 1:
        said.append(_compared(short_lots([lot for lot, _ in lots]), means=means, unit=unit))
    if missing:
        has = "has" if missing == 1 else "have"
        said.append(f"{takes_text(missing)} {has} no figure here.")
    return " ".join(sentence for sentence in said if sentence)


def _compared(lots: Sequence[str], *, means: Sequence[GroupMean | None], unit: str) -> str:
    """Say how far the last lot lies from the one before."""
    before, last = means[-2], means[-1]
    if before is None or last is None or before.deviation is None or last.deviation is None:
        return ""
    away = difference_of_means(last, before)
    interval = with_unit(interval_text(away.uncertainty), unit)
    size = with_unit(value_text(abs(away.value), away.uncertainty), unit)
    if abs(away.value) <= away.uncertainty:
        said = f"{lots[-1]} and {lots[-2]} can’t be told apart"
    else:
        side = "above" if away.value > 0 else "below"
        said = f"{lots[-1]} runs {size} {side} {lots[-2]}"
    return f"{said} (interval of the difference {interval})."


def _begun(name: str) -> str:
    return name[:1].upper() + name[1:]
