"""Which curve the pointer means, where several takes lie upon each other."""

import numpy as np
from PySide6.QtCore import QPointF

from app.desktop.plots.frame import Frame
from app.desktop.plots.frequency_scene import FrequencyScene
from app.desktop.plots.line import LineRole

_REACH = 6.0  # px
_TAKES = {LineRole.TAKE, LineRole.OVERLAY}


def curve_near(frame: Frame, scene: FrequencyScene, at: QPointF) -> str | None:
    """Return the name of the take's curve within reach of a pixel; None with fewer than two."""
    takes = [c for c in scene.curves if c.line.role in _TAKES and not c.right and c.x.size]
    if len(takes) < 2:  # one alone needs no lifting
        return None
    place = frame.x_at(at.x())
    value = np.array([np.interp(place, c.x, c.y, np.nan, np.nan) for c in takes])
    away = np.abs(frame.py(value) - at.y())
    if np.isnan(away).all():
        return None
    nearest = int(np.nanargmin(away))
    return takes[nearest].line.name if away[nearest] <= _REACH else None
