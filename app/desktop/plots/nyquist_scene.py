"""All that a plot of reactance over resistance shows, and where its axes lie: equal scales."""

from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QSizeF

from app.desktop.plots.frame import Frame, Span
from app.desktop.plots.frequency_scene import BOTTOM, LEFT, NO_RIGHT, TOP
from app.desktop.plots.locus import Locus

_EMPTY = (0.0, 40.0, -20.0, 20.0)  # ohm, where nothing is known yet
_AIR = 0.06  # of what is shown, on every side


@dataclass(slots=True, kw_only=True)
class NyquistScene:
    """What is shown; changed by the plot, read by what paints it."""

    loci: tuple[Locus, ...] = ()
    cursor_hz: float | None = None
    hint: str = ""

    def frame(self, size: QSizeF) -> Frame:
        """Return where the axes lie: a step along one is as many px as along the other."""
        width = max(size.width() - LEFT - NO_RIGHT, 10.0)
        height = max(size.height() - TOP - BOTTOM, 10.0)
        low, high, bottom, top = self._bounds()
        per_px = max((high - low) / width, (top - bottom) / height)
        middle, level = (low + high) / 2, (bottom + top) / 2
        wide, tall = per_px * width / 2, per_px * height / 2
        return Frame(
            left=LEFT,
            top=TOP,
            width=width,
            height=height,
            x=Span(low=middle - wide, high=middle + wide),
            y=Span(low=level - tall, high=level + tall),
        )

    def nearest_hz(self, frame: Frame, x: float, y: float) -> float | None:
        """Return the frequency of the point next to a place, px; of the first that has points."""
        if not self.loci:
            return None
        first = self.loci[0]
        away = np.hypot(frame.px(first.ohm.real) - x, frame.py(first.ohm.imag) - y)
        if not np.isfinite(away).any():
            return None
        return float(first.hz[int(np.nanargmin(away))])

    def _bounds(self) -> tuple[float, float, float, float]:
        seen = [one.ohm[np.isfinite(one.ohm)] for one in self.loci]
        points = np.concatenate([np.empty(0, dtype=np.complex128), *seen])
        if not points.size:
            return _EMPTY
        low, high = float(points.real.min()), float(points.real.max())
        bottom, top = float(points.imag.min()), float(points.imag.max())
        air = _AIR * max(high - low, top - bottom, 1e-6)
        return low - air, high + air, bottom - air, top + air
