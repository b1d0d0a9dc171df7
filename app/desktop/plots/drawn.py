"""A curve brought onto the axes of a plot over frequency: log10 of Hz, per cent as dB."""

from dataclasses import dataclass

import numpy as np

from app.desktop.plots.line import PlotLine
from dsp.arrays import Floats

_PER_CENT = "%"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Drawn:
    """One line as it is drawn.

    Attributes
    ----------
    line : PlotLine
        What it was made of.
    x, y : (n,) array
        log10 of Hz; value on the axis it is read at.
    band : (low, high), (n,) each, or None
        Its interval, on the same axis.
    right : bool
        Whether that is the right one.
    valid : (low, high) or None
        log10 of Hz.
    """

    line: PlotLine
    x: Floats
    y: Floats
    band: tuple[Floats, Floats] | None
    right: bool
    valid: tuple[float, float] | None


def drawn(line: PlotLine, *, right_unit: str) -> Drawn:
    """Prepare a line once; what doesn't change with zoom or size is worked out here.

    A line at a right axis in per cent shares the left scale, which is in dB: 100 % is 0 dB.
    """
    keep = line.x > 0
    hz, y = line.x[keep], line.y[keep]
    band = None
    if line.interval is not None:
        band = (y - line.interval[keep], y + line.interval[keep])
    as_db = line.right and right_unit == _PER_CENT
    if as_db:
        y = per_cent_as_db(y)
        band = band and (per_cent_as_db(band[0]), per_cent_as_db(band[1]))
    return Drawn(
        line=line,
        x=np.log10(hz),
        y=y,
        band=band,
        right=line.right and not as_db,
        valid=_log(line.valid),
    )


def per_cent_as_db(per_cent: Floats) -> Floats:
    """Return dB re 100 % of (n,) per cent; NaN where not above 0."""
    positive = np.where(per_cent > 0, per_cent, np.nan)
    return 20 * np.log10(positive / 100)


def _log(valid: tuple[float, float] | None) -> tuple[float, float] | None:
    if valid is None:
        return None
    low, high = (float(np.log10(max(hz, 1e-3))) for hz in valid)
    return (low, high)
