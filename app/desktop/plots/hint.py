"""What will appear in an empty plot, written where no mask is in the way."""

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainter

from app.desktop.palette import Tokens
from app.desktop.plots.frame import Frame
from app.desktop.plots.mask import PlotMask
from app.desktop.plots.mask_line import corners_px
from app.desktop.plots.pens import tinted
from app.desktop.plots.write import Anchor, width_of, write

_PX = 13.0
_CLEAR = 22.0  # px from the middle of the words to a mask, with its hatches
_HEIGHTS = np.array([0.6, 0.5, 0.4, 0.75, 0.25, 0.88, 0.12])  # parts of the frame, the best first


def write_hint(
    painter: QPainter, frame: Frame, hint: str, *, masks: Sequence[PlotMask], tokens: Tokens
) -> None:
    """Write one line in the middle of a frame, as far from masks as is needed."""
    half = width_of(hint, px=_PX) / 2
    middle = frame.left + frame.width / 2
    at = QPointF(middle, free_height(frame, masks, span=(middle - half, middle + half)))
    veil = tinted(tokens.plot, 0.88)
    write(painter, at, hint, colour=tokens.ink2, px=_PX, anchor=Anchor.MIDDLE, veil=veil)


def free_height(frame: Frame, masks: Sequence[PlotMask], *, span: tuple[float, float]) -> float:
    """Return where, px, words over a ``span`` of px are clear of masks, or nearly so."""
    heights = frame.top + frame.height * _HEIGHTS
    places = np.linspace(*span, 9)
    away = np.full(heights.shape, _CLEAR)
    for corners in (corners_px(frame, mask) for mask in masks):
        taken = np.interp(places, corners.x, corners.y, np.nan, np.nan)
        distances = np.abs(heights[:, np.newaxis] - taken)
        away = np.fmin(away, np.fmin.reduce(distances, axis=1))
    return float(heights[np.argmax(away)])
