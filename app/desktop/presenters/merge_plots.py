"""Near field, far field and what they are merged to, as plots with the crossover shaded."""

import math

import numpy as np

from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.mask import PlotMask, Sense
from app.desktop.plots.shade import PlotShade
from app.desktop.presenters.figures import hz_text
from app.desktop.presenters.measure_lines import within_one_turn
from app.desktop.presenters.measure_scene import PlotState
from app.desktop.presenters.measure_stated import level_unit
from app.measure.near_and_far import Joined
from dsp import Curve
from dsp.near_field.merge import MOST_DB

HINT = "Near field, far field and the merged response appear here."
_TOP_STEP_DB, _SPAN_DB, _ROOM_DB = 10.0, 60.0, 3.0
_LEAST_DB, _HEADROOM = 3.0, 1.2  # of the difference, to either side
_HALVES_DB = (3.0, 5.0, 10.0, 20.0, 50.0)
_HALF_TURN = 180.0
_BOUNDS: tuple[tuple[str, Sense, float], ...] = (
    ("higher", "upper", MOST_DB),
    ("lower", "lower", -MOST_DB),
)
_NEAR, _FAR = 2, 3  # colours, as of takes that lie over the first


def merged_level_plot(joined: Joined | None) -> PlotState:
    """Present all three levels, stated for the far field's distance and voltage."""
    if joined is None:
        return PlotState(unit="dB re 20 µPa", hint=HINT, y=(50.0, 110.0))
    found = joined.found
    level = found.merged.level
    lines = (
        _line("merged", level, role=LineRole.TAKE, take=1),
        _line("near", found.parts[0], role=LineRole.OVERLAY, take=_NEAR),
        _line("far", found.parts[1], role=LineRole.OVERLAY, take=_FAR),
    )
    held = level.value[level.valid.holds(level.frequency_hz)]
    known = held[np.isfinite(held)]
    highest = float(known.max()) if known.size else 100.0
    top = _TOP_STEP_DB * math.ceil((highest + _ROOM_DB) / _TOP_STEP_DB)
    return PlotState(
        unit=level_unit(joined.far.procedure, chain=joined.far.chain.chain),
        lines=lines,
        valid=level.valid,
        y=(top - _SPAN_DB, top),
        shades=_crossover(joined, words=crossover_words(joined)),
    )


def difference_plot(joined: Joined | None) -> PlotState:
    """Present far less near field before it was raised, and from where on it is a mistake."""
    if joined is None:
        return PlotState(unit="dB", hint="How far both agree.", y=(-_LEAST_DB, _LEAST_DB))
    curve = joined.difference
    line = _line("difference", curve, role=LineRole.TAKE, take=1, decimals=2)
    bounds = tuple(
        PlotMask(
            name=f"{name} than {MOST_DB:g} dB",
            sense=sense,
            hz=np.empty(0),
            values=np.array([value]),
            broken_by=(line.name,),
        )
        for name, sense, value in _BOUNDS
    )
    overlap = joined.found.merged.overlap
    inside = (curve.frequency_hz >= overlap.low_hz) & (curve.frequency_hz <= overlap.high_hz)
    most = _HEADROOM * float(np.max(np.abs(curve.value[inside]), initial=_LEAST_DB / _HEADROOM))
    half = next((one for one in _HALVES_DB if one >= most), _HALVES_DB[-1])
    return PlotState(
        unit="dB",
        lines=(line,),
        masks=bounds,
        valid=curve.valid,
        y=(-half, half),
        shades=_crossover(joined),
    )


def merged_phase_plot(joined: Joined | None) -> PlotState:
    """Present the merged phase, the far field's delay taken out."""
    if joined is None:
        return PlotState(unit="°", hint="The merged phase.", y=(-_HALF_TURN, _HALF_TURN))
    merged = joined.found.merged
    line = _line("merged", within_one_turn(merged.phase), role=LineRole.PHASE, take=1, decimals=0)
    return PlotState(
        unit=f"°, {1e3 * merged.delay_s:.3f} ms taken out",
        lines=(line,),
        valid=merged.phase.valid,
        y=(-_HALF_TURN, _HALF_TURN),
        shades=_crossover(joined),
    )


def crossover_words(joined: Joined) -> str:
    """Say where near field fades into far field."""
    overlap = joined.found.merged.overlap
    return f"crossover {hz_text(overlap.low_hz)} to {hz_text(overlap.high_hz)}"


def _crossover(joined: Joined, *, words: str = "") -> tuple[PlotShade, ...]:
    overlap = joined.found.merged.overlap
    return (PlotShade(low=overlap.low_hz, high=overlap.high_hz, words=words),)


def _line(name: str, curve: Curve, *, role: LineRole, take: int, decimals: int = 1) -> PlotLine:
    return PlotLine(
        name=name,
        x=curve.frequency_hz,
        y=curve.value,
        role=role,
        take=take,
        interval=curve.uncertainty,
        valid=(curve.valid.low_hz, curve.valid.high_hz),
        reason=curve.valid.low_reason,
        high_reason=curve.valid.high_reason,
        decimals=decimals,
    )
