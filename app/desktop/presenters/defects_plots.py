"""What the plots of the defects show: a map of the residual, its curve, its level over time."""

import math
from dataclasses import dataclass, replace

import numpy as np

from app.desktop.plots.level_map import LevelMap
from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.moments import Moment, MomentKind, Part
from app.desktop.presenters.figures import hz_text
from app.desktop.presenters.measure_lines import Shown, hidden_line, main_line, side_line
from app.desktop.presenters.measure_masks import plot_masks
from app.desktop.presenters.measure_scene import PlotState
from app.measure.defects_seen import DefectsSeen
from dsp import Floats
from dsp.defects.residual_map import ResidualMap
from dsp.distortion.in_decibels import in_decibels

SWEEP, TONES = "sweep", "tones"
CURVE_HINT = "The irregular part against the harmonics appears here."
_SPAN_DB, _LEAST_DB, _STEP_DB = 60.0, 40.0, 10.0  # of the ramp
_QUIET = 0.5  # of all tiles: what is no louder tells little but noise
_ORDERS = (10, 20, 50)
_TONE_WIDE = 1 / 8  # octave to either side: nothing was played between tones
_NOTHING_DB = -199.0
_ROLES = {"h2": LineRole.H2, "h3": LineRole.H3, "high_order": LineRole.HIGH}
_CALLED = {"h2": "H2", "h3": "H3", "high_order": "high orders"}
_EMPTY_Y, _FREE_DB = (-90.0, 0.0), 5.0
_LOWEST_HZ, _HIGHEST_HZ = 20.0, 2000.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class OverTime:
    """The level of the residual over the time of a take.

    Attributes
    ----------
    parts : tuple of Part
        In playing order.
    moments : tuple of Moment
        The impulses, in order.
    left_out : tuple of (from, to)
        s; what was left out of the figures because something else was heard.
    """

    parts: tuple[Part, ...] = ()
    moments: tuple[Moment, ...] = ()
    left_out: tuple[tuple[float, float], ...] = ()


def pictures(seen: DefectsSeen) -> tuple[tuple[str, str], ...]:
    """Return which pictures there are, as key and words, the one that is shown first at the head.

    Tones say more of a rub than a sweep that passes; a sweep shows where it begins.
    """
    made = ((SWEEP, "the sweep", seen.swept), (TONES, "the tones", seen.toned))
    return tuple((key, words) for key, words, found in made if found is not None)


def level_map(seen: DefectsSeen, *, picture: str) -> LevelMap | None:
    """Present the residual of the sweep or that of the tones over what was played and heard."""
    found = seen.swept if picture == SWEEP else seen.toned
    if found is None:
        return None
    low, high = _ends(found)
    x_low, x_high = _columns(found)
    y_edges = edges(found.heard_hz)
    return LevelMap(
        x_hz=found.drive_hz,
        x_low=x_low,
        x_high=x_high,
        y_hz=found.heard_hz,
        y_low=y_edges[:-1],
        y_high=y_edges[1:],
        level=found.level_db,
        low=low,
        high=high,
        orders=_ORDERS,
        marks_hz=tuple(
            one.drive_hz
            for one in seen.impulses
            if one.is_short and one.in_sweep == (picture == SWEEP)
        ),
    )


def drive_span(seen: DefectsSeen | None) -> tuple[float, float]:
    """Return what the axis of what was played shows, Hz."""
    maps = [] if seen is None else [one for one in (seen.swept, seen.toned) if one is not None]
    low = min([_LOWEST_HZ, *(float(one.drive_hz[0]) for one in maps)])
    return low, max([_HIGHEST_HZ, *(float(one.drive_hz[-1]) for one in maps)])


def irregular_plot(shown: Shown | None, *, seen: DefectsSeen | None) -> PlotState:
    """Present the residual beside the harmonics, all re the fundamental."""
    if shown is None:
        return PlotState(unit="dB re fundamental", hint=CURVE_HINT, y=_EMPTY_Y)
    curves = shown.take.curves
    lines: list[PlotLine] = []
    residual = curves.get("residual")
    if residual is not None:
        lines.append(replace(main_line(shown, residual), name="residual"))
        hidden = hidden_line(shown, residual, name="at most")
        lines += [hidden] if hidden is not None else []
        if (peak := curves.get("residual_peak")) is not None:
            lines.append(side_line(shown, peak, name="its peak", role=LineRole.H4))
    elif seen is not None and len(seen.reading.tones) > 1:
        lines.append(_tones_line(seen))
    lines += [
        replace(
            side_line(shown, in_decibels(curves[key]), name=_CALLED[key], role=role), interval=None
        )
        for key, role in _ROLES.items()
        if key in curves
    ]
    masks = plot_masks(
        shown.take.procedure.masks,
        quantities=("residual",),
        take=shown.take,
        reference=None,
        broken_by={"residual": ("residual",)},
    )
    return PlotState(
        unit="dB re fundamental",
        lines=tuple(lines),
        masks=masks,
        valid=None if residual is None else residual.valid,
        y=_span(lines),
        hint="" if lines else "Nothing here: sweep the unit, or play it tones.",
    )


def over_time(seen: DefectsSeen | None) -> OverTime:
    """Present levels, impulses, and what was left out."""
    if seen is None:
        return OverTime()
    return OverTime(
        parts=tuple(
            Part(
                name=SWEEP if one.is_swept else hz_text(float(one.drive_hz[0])),
                time_s=one.time_s,
                level=one.level_db,
                drive_hz=one.drive_hz,
            )
            for one in seen.levels
        ),
        moments=tuple(
            Moment(
                time_s=one.time_s,
                level=one.level_db,
                kind=MomentKind.CLICK if one.is_short else MomentKind.RINGING,
            )
            for one in seen.impulses
        ),
        left_out=tuple((one.start_s, one.stop_s) for one in seen.reading.disturbed),
    )


def edges(middles: Floats) -> Floats:
    """Return the borders, (n + 1,), of cells whose middles rise evenly over log f."""
    log = np.log(middles)
    between = (log[1:] + log[:-1]) / 2
    first, last = 2 * log[0] - between[0], 2 * log[-1] - between[-1]
    found: Floats = np.exp(np.concatenate([[first], between, [last]]))
    return found


def _columns(found: ResidualMap) -> tuple[Floats, Floats]:
    if found.is_swept:
        borders = edges(found.drive_hz)
        return borders[:-1], borders[1:]
    wide = np.full(found.drive_hz.size, _TONE_WIDE)
    if wide.size > 1:  # tones that stand close share the room between them
        gaps = np.diff(np.log2(found.drive_hz)) / 2
        wide = np.minimum(wide, np.minimum(np.append(gaps, np.inf), np.append(np.inf, gaps)))
    return found.drive_hz * 2**-wide, found.drive_hz * 2**wide


def _ends(found: ResidualMap) -> tuple[float, float]:
    """Return the ends of the ramp, dB; noise alone does not fill it."""
    high = _STEP_DB * math.ceil(float(found.level_db.max()) / _STEP_DB)
    quiet = _STEP_DB * math.floor(float(np.quantile(found.level_db, _QUIET)) / _STEP_DB)
    low = max(high - _SPAN_DB, quiet)
    return low, max(high, low + _LEAST_DB)


def _tones_line(seen: DefectsSeen) -> PlotLine:
    tones = {tone.frequency_hz: tone.sync_peak_db for tone in seen.reading.tones}
    hz = sorted(tones)
    return PlotLine(
        name="what repeats",
        x=np.array(hz),
        y=np.array([np.nan if tones[one].is_bound else tones[one].value for one in hz]),
        role=LineRole.TAKE,
    )


def _span(lines: list[PlotLine]) -> tuple[float, float]:
    values = np.concatenate([np.empty(0), *(line.y[line.x <= _HIGHEST_HZ] for line in lines)])
    values = values[np.isfinite(values) & (values > _NOTHING_DB)]
    if not values.size:
        return _EMPTY_Y
    high = _STEP_DB * math.ceil((float(values.max()) + _FREE_DB) / _STEP_DB)
    low = _STEP_DB * math.floor((float(values.min()) - _FREE_DB) / _STEP_DB)
    return max(low, high - 100.0), high
