"""How lots or weeks went: a control chart, a row for each, and what most often stood in the way."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.desktop.plots.trend_data import TrendLimits, TrendPoints
from app.desktop.presenters.figures import minus
from app.desktop.presenters.limits_figures import mask_title, unit_of
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_names import quantity_name
from app.measure.lot_chart import LotChart
from app.measure.lot_figures import Bar, LotFigures, LotReport
from app.measure.rates import percent
from dsp.statistics.capability import Capability
from dsp.statistics.control_chart import ControlChart

NOTHING = "Units that were judged appear here, lot by lot."
FEW = "A control chart takes two lots or weeks."
_MOST_BARS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class LotRow:
    """One lot or week: its key, its cells, and a mark where its chart speaks."""

    key: str
    cells: tuple[str, str, str, str, str]
    mark: Mark | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BarRow:
    """One bar of a Pareto chart: name, units, share of those that did not pass, running share."""

    cells: tuple[str, str, str, str]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LotsState:
    """The page.

    Attributes
    ----------
    title, unit, hint : str
        Of the chart.
    points : TrendPoints
        In the order of time; those beyond their limits fail.
    limits : TrendLimits or None
        Of the newest point; each has its own where groups differ in size.
    y : (low, high) or None
        What the value axis shows; None: as the figures need it.
    ticks : tuple of (place, word)
        Names under the axis.
    rows : tuple of LotRow
        The oldest first.
    masks, findings : tuple of BarRow
        What most often stood in the way.
    words : str
        The whole in a sentence or two.
    """

    title: str
    unit: str
    hint: str
    points: TrendPoints
    limits: TrendLimits | None
    y: tuple[float, float] | None
    ticks: tuple[tuple[float, str], ...]
    rows: tuple[LotRow, ...]
    masks: tuple[BarRow, ...]
    findings: tuple[BarRow, ...]
    words: str


def lots_state(report: LotReport, *, figure: LotChart | None, refused: str = "") -> LotsState:
    """Present lots or weeks.

    Parameters
    ----------
    report : LotReport
        Counted.
    figure : LotChart or None
        What is charted; None: the share that did not pass at once.
    refused : str
        Why the figure that was asked for has no chart.
    """
    names = [one.name for one in report.groups]
    chart, scale = (report.chart, 100.0) if figure is None else (figure.chart, 1.0)
    title = "Did not pass at once" if figure is None else quantity_name(figure.quantity)
    unit = "% of units" if figure is None else f"{unit_of(figure.quantity)}, mean of each"
    if figure is not None:
        names = [one.name for one in figure.points]
    if refused:
        chart = None
    total = report.total
    return LotsState(
        title=title[:1].upper() + title[1:],
        unit=unit,
        hint=refused or (FEW if report.groups else NOTHING),
        points=_points(chart, names=names, scale=scale),
        limits=_limits(chart, scale=scale),
        y=_share_axis(chart) if figure is None else None,
        ticks=tuple((float(at), name or "no lot") for at, name in enumerate(names))
        if chart is not None
        else (),
        rows=tuple(_row(one, report=report, at=at) for at, one in enumerate(report.groups)),
        masks=_bars(total.masks if total is not None else (), are_masks=True),
        findings=_bars(total.findings if total is not None else (), are_masks=False),
        words=_words(report, chart=chart, figure=figure),
    )


def _points(chart: ControlChart | None, *, names: Sequence[str], scale: float) -> TrendPoints:
    if chart is None:
        return TrendPoints()
    return TrendPoints(
        x=np.arange(chart.value.size, dtype=np.float64),
        y=scale * chart.value,
        keys=tuple(names),
        fails=chart.outside,
        joined=True,
    )


def _limits(chart: ControlChart | None, *, scale: float) -> TrendLimits | None:
    if chart is None:
        return None
    lower, upper = (scale * float(edge[-1]) for edge in (chart.lower, chart.upper))
    return TrendLimits(lower=lower, upper=upper, words="control limits, 3 s")


def _share_axis(chart: ControlChart | None) -> tuple[float, float] | None:
    """Return an axis in percent that begins at nothing."""
    if chart is None:
        return None
    most = max(float(np.nanmax(chart.value)), float(np.max(chart.upper)))
    return 0.0, max(1.0, 110.0 * most)


def _row(one: LotFigures, *, report: LotReport, at: int) -> LotRow:
    chart = report.chart
    is_out = chart is not None and bool(chart.outside[at] or chart.runs[at] or chart.trends[at])
    passed = one.first_pass
    return LotRow(
        key=one.name,
        cells=(
            one.name or "no lot",
            str(one.units),
            percent(passed.share),
            f"{percent(passed.low)} to {percent(passed.high)}",
            _most(one),
        ),
        mark=Mark.CAUTION if is_out else None,
    )


def _most(one: LotFigures) -> str:
    """Name the mask and the cause that were counted most."""
    named = [mask_title(bar.name) for bar in one.masks[:1]] + [bar.name for bar in one.findings[:1]]
    return ", ".join(named)


def _bars(bars: Sequence[Bar], *, are_masks: bool) -> tuple[BarRow, ...]:
    return tuple(
        BarRow(
            cells=(
                mask_title(bar.name) if are_masks else bar.name,
                str(bar.count),
                percent(bar.share),
                percent(bar.running),
            )
        )
        for bar in bars[:_MOST_BARS]
    )


def _words(report: LotReport, *, chart: ControlChart | None, figure: LotChart | None) -> str:
    total = report.total
    if total is None:
        return "No unit of this procedure was judged yet."
    passed = total.first_pass
    said = [
        f"{passed.count} of {passed.of} units passed at once: {percent(passed.low)} to "
        f"{percent(passed.high)} of such units do."
    ]
    if chart is not None:
        out = int((chart.outside | chart.runs | chart.trends).sum())
        said.append(
            "The chart is in control."
            if not out
            else f"{out} of {chart.value.size} points are out of control: look for a reason there."
        )
    if figure is not None and figure.capability is not None:
        said.append(_capable(figure.capability))
    return " ".join(said)


def _capable(one: Capability) -> str:
    cpk = f"{one.cpk:.2f} ({one.cpk_low:.2f} to {one.cpk_high:.2f})"
    return minus(f"Cpk {cpk}: {percent(one.outside)} would lie outside if they are normal.")
