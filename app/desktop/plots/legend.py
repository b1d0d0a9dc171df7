"""What stands in a plot's head: each curve's swatch, its name, its value at the cursor."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum, auto

import numpy as np

from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.mask import PlotMask
from app.desktop.plots.spread import PlotSpread
from app.desktop.presenters.figures import interval_text, minus, value_text, with_unit

NOTHING = "–"  # in place of a figure that isn't there; shorter than a swatch


class Swatch(Enum):
    """What is drawn before a name."""

    LINE = auto()
    MASK = auto()
    OLD_MASK = auto()
    AREA = auto()
    DOT = auto()
    DIAMOND = auto()
    RAMP = auto()
    NONE = auto()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class HeadEntry:
    """One entry.

    ``keep`` tells what goes first when there are too many: the lowest does. ``line`` gives the
    pen of a line's swatch and the colour of a take's dot, ``colour`` the name of the token of
    another dot's.
    """

    swatch: Swatch
    name: str
    value: str = ""
    keep: int = 0
    line: PlotLine | None = None
    colour: str = "ink2"


_KEEP_MASK, _KEEP_FAINT, _KEEP_FIRST = 0, 1, 1000
_FAINT = {LineRole.PHASE, LineRole.FLOOR, LineRole.H3}


def entries(
    lines: Sequence[PlotLine],
    *,
    live: Sequence[PlotLine] = (),
    masks: Sequence[PlotMask] = (),
    spread: PlotSpread | None = None,
    at: float | None = None,
) -> tuple[HeadEntry, ...]:
    """Return the entries from left to right; ``at`` is the cursor's place, None without one.

    A line that has nothing there gets a dash; a ``live`` one has not come so far yet.
    """
    made = [
        HeadEntry(
            swatch=Swatch.LINE,
            name=line.name,
            value="" if at is None else readout(line, at),
            keep=_KEEP_FIRST,
            line=line,
        )
        for line in live
    ]
    if spread is not None:
        value = _spread_value(spread, at)
        made += [
            HeadEntry(swatch=Swatch.AREA, name=spread.name, keep=_KEEP_FIRST),
            HeadEntry(swatch=Swatch.LINE, name="median", value=value, keep=_KEEP_FIRST, line=None),
        ]
    overlays = 0
    for line in lines:
        keep = _KEEP_FAINT if line.role in _FAINT else _KEEP_FIRST
        if line.role is LineRole.OVERLAY:
            # The newest stands first and stays longest.
            keep = _KEEP_FIRST - 1 - overlays
            overlays += 1
        value = "" if at is None else readout(line, at) or NOTHING
        made.append(
            HeadEntry(swatch=Swatch.LINE, name=line.name, value=value, keep=keep, line=line)
        )
    return (*made, *_mask_entries(masks))


def fitting(made: Sequence[HeadEntry], *, widths: Sequence[float], room: float) -> list[int]:
    """Return the indices of the entries that fit: masks go first, then phase, then overlays."""
    kept = list(range(len(made)))
    while kept and sum(widths[index] for index in kept) > room:
        # Of equals the last goes.
        kept.remove(min(reversed(kept), key=lambda index: made[index].keep))
    return kept


def lost_a_figure(made: Sequence[HeadEntry], kept: Sequence[int], fewer: Sequence[int]) -> bool:
    """Tell whether ``fewer`` lacks more than masks and phase: then the unit gives way instead."""
    return any(made[index].keep > _KEEP_FAINT for index in kept if index not in fewer)


def readout(line: PlotLine, at: float) -> str:
    """Return a line's figure at a place, with its interval; empty where it has none."""
    value, interval = line.at(at), line.interval_at(at)
    if not np.isfinite(value):
        return ""
    if np.isfinite(interval) and interval > 0:
        return with_unit(f"{value_text(value, interval)} {interval_text(interval)}", line.unit)
    signed = line.unit == "°"
    return with_unit(_fixed(value, line.decimals, signed=signed), line.unit)


def _spread_value(spread: PlotSpread, at: float | None) -> str:
    if at is None:
        return ""
    value = float(np.interp(np.log(at), np.log(spread.hz), spread.median, np.nan, np.nan))
    if not np.isfinite(value):
        return ""
    if spread.is_per_cent:
        return with_unit(f"{100 * 10 ** (value / 20):.2g}", "%")
    return _fixed(value, 1)


def _fixed(value: float, places: int, *, signed: bool = False) -> str:
    rounded = round(value, places) + 0.0  # no "-0"
    return minus(f"{rounded:{'+' if signed else ''}.{places}f}")


def _mask_entries(masks: Iterable[PlotMask]) -> list[HeadEntry]:
    made: dict[str, HeadEntry] = {}
    for mask in masks:
        name = "draft" if mask.draft else "mask"
        made.setdefault(name, HeadEntry(swatch=Swatch.MASK, name=name, keep=_KEEP_MASK))
        if mask.old is not None:
            old = LineRole.MASK_OLD.value
            made[old] = HeadEntry(swatch=Swatch.OLD_MASK, name=old, keep=_KEEP_MASK)
    return list(made.values())
