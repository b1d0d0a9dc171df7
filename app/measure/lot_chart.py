"""A figure of the production over time: control chart, and capability between its limits."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

import numpy as np

from app.errors import BadInputError
from app.measure.band_values import band_values
from app.measure.lot_figures import week_of
from app.procedure.mask_schema import Mask
from app.procedure.names import CURVES, NUMBERS
from app.records.first_takes import FirstTake
from app.records.store import Store
from dsp import Floats
from dsp.conformity.mask import MaskLines
from dsp.statistics.capability import Capability, capability
from dsp.statistics.control_chart import ControlChart, individuals_chart, mean_range_chart

Points = Literal["unit", "subgroup", "lot", "week"]
SUBGROUP = 5  # units one after the other


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartPoint:
    """One point: a unit, some units one after the other, a lot, or a week.

    Attributes
    ----------
    name : str
        Serial, first and last serial, lot or ISO week.
    since_utc : datetime
        Of its first take.
    units : int
        That it is the mean of.
    deviation : float
        Of these units, in the quantity's unit; NaN of one.
    """

    name: str
    since_utc: datetime
    units: int
    deviation: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LotChart:
    """A figure over the first takes of units, the oldest first.

    Attributes
    ----------
    quantity, unit : str
        What is drawn.
    points : tuple of ChartPoint
        As many as the chart has.
    chart : ControlChart
        Of the points' means.
    ranges : ControlChart or None
        Of the ranges inside subgroups.
    left_out : int
        Units of which the figure is not known.
    upper, lower : float
        Limits that the capability is about; infinite where there is none.
    capability : Capability or None
        Of all units; None without limits.
    of_points : tuple of Capability or None
        Of each lot or week of two or more units.
    """

    quantity: str
    unit: str
    points: tuple[ChartPoint, ...]
    chart: ControlChart
    ranges: ControlChart | None
    left_out: int
    upper: float
    lower: float
    capability: Capability | None
    of_points: tuple[Capability | None, ...]


def lot_chart(
    store: Store,
    *,
    procedure: str,
    quantity: str,
    band_hz: tuple[float, float] | None = None,
    points: Points = "unit",
    lot: str | None = None,
    since: datetime | None = None,
    mask: Mask | None = None,
) -> LotChart:
    """Chart a number, or the level of a curve in a band, over the first takes of units.

    Parameters
    ----------
    store : Store
        Where they are.
    procedure : str
        Its name.
    quantity : str
        A number or a curve.
    band_hz : (low, high) or None
        Hz, of a curve; None: all that holds of it.
    points : "unit", "subgroup", "lot" or "week"
        Single units; means and ranges of five units one after the other; means of lots, or of ISO
        weeks, as single values: lots differ more than the units of a lot would tell.
    lot : str or None
        Units of this lot only.
    since : datetime or None
        First takes from then on, aware; None: all.
    mask : Mask or None
        On the same quantity, absolute: what the capability is about; over the band of a curve its
        limits are averaged, too.

    Raises
    ------
    BadInputError
        Fewer than two points, or a mask about something else.
    """
    takes = store.first_of_units(procedure=procedure, lot=lot, since=since)
    every = band_values(store, takes, quantity=quantity, band_hz=band_hz)
    known = np.isfinite(every)
    units = [one for one, is_known in zip(takes, known, strict=True) if is_known]
    values = every[known]
    groups = _groups(units, points=points)
    if len(groups) < 2:
        raise BadInputError("control chart", "too few points", given=len(groups), allowed="from 2")
    upper, lower = _limits(mask, quantity=quantity, band_hz=band_hz)
    ranges = None
    if points == "subgroup":
        both = mean_range_chart(values[: SUBGROUP * len(groups)].reshape(-1, SUBGROUP))
        chart, ranges = both.mean, both.range
    else:
        chart = individuals_chart(np.array([values[places].mean() for places in groups.values()]))
    by_group = points in {"lot", "week"}
    return LotChart(
        quantity=quantity,
        unit={**CURVES, **NUMBERS}[quantity],
        points=tuple(
            ChartPoint(
                name=name,
                since_utc=units[places[0]].started_utc,
                units=len(places),
                deviation=float(np.std(values[places], ddof=1)) if len(places) > 1 else np.nan,
            )
            for name, places in groups.items()
        ),
        chart=chart,
        ranges=ranges,
        left_out=int((~known).sum()),
        upper=upper,
        lower=lower,
        capability=_capable(values, upper=upper, lower=lower),
        of_points=tuple(
            _capable(values[places], upper=upper, lower=lower) if by_group else None
            for places in groups.values()
        ),
    )


def _groups(units: Sequence[FirstTake], *, points: Points) -> dict[str, list[int]]:
    """Return the places of the units of each point, the oldest point first."""
    if points == "unit":
        return {one.serial: [place] for place, one in enumerate(units)}
    if points == "subgroup":  # what is left over at the end waits for the next units
        whole = range(0, len(units) - SUBGROUP + 1, SUBGROUP)
        return {
            f"{units[start].serial} to {units[start + SUBGROUP - 1].serial}": list(
                range(start, start + SUBGROUP)
            )
            for start in whole
        }
    groups: dict[str, list[int]] = defaultdict(list)
    for place, one in enumerate(units):
        groups[(one.lot or "") if points == "lot" else week_of(one.started_utc)].append(place)
    return dict(groups)


def _limits(
    mask: Mask | None, *, quantity: str, band_hz: tuple[float, float] | None
) -> tuple[float, float]:
    if mask is None:
        return np.inf, -np.inf
    if mask.quantity != quantity or mask.relative_to is not None or mask.align is not None:
        raise BadInputError(
            "control chart",
            "the mask is about something else",
            given=mask.quantity,
            allowed=f"{quantity}, absolute",
        )
    lines = MaskLines(upper=mask.upper, lower=mask.lower)
    low, high = band_hz or lines.span_hz
    if quantity in NUMBERS or not np.isfinite(high):
        one = np.ones(1)
        return float(lines.upper_at(one)[0]), float(lines.lower_at(one)[0])
    hz = np.geomspace(low, high, 200)
    return float(np.mean(lines.upper_at(hz))), float(np.mean(lines.lower_at(hz)))


def _capable(values: Floats, *, upper: float, lower: float) -> Capability | None:
    if not (np.isfinite(upper) or np.isfinite(lower)) or values.size < 2:
        return None
    deviation = float(np.std(values, ddof=1))
    if not deviation > 0:
        return None
    return capability(
        mean=float(np.mean(values)),
        deviation=deviation,
        count=values.size,
        upper=upper,
        lower=lower,
    )
