"""How far an arrow moves the chosen point of a mask."""

from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from app.desktop.plots.frame import Frame
from app.desktop.plots.ticks import round_step

_OCTAVES = 1 / 24
_STEPS_A_SCREEN = 500.0  # about one pixel each
_COARSE = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """Octaves along and the plot's unit upward."""

    octaves: float = 0.0
    value: float = 0.0


def step_of(event: QKeyEvent, *, frame: Frame) -> Step | None:
    """Return the step of an arrow, ten times as far with Shift; None for other keys."""
    times = _COARSE if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
    value = times * round_step(frame.y.length, most=_STEPS_A_SCREEN)
    match event.key():
        case Qt.Key.Key_Left:
            return Step(octaves=-times * _OCTAVES)
        case Qt.Key.Key_Right:
            return Step(octaves=times * _OCTAVES)
        case Qt.Key.Key_Up:
            return Step(value=value)
        case Qt.Key.Key_Down:
            return Step(value=-value)
        case _:
            return None
