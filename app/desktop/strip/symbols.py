"""The circuit symbols of the strip, each drawn about the wire that runs through it."""

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath

# Where the wire leaves a symbol, from the tile's left edge, px.
RIGHT_EDGE = {
    "output": 26,
    "amplifier": 25,
    "sense": 26,
    "unit": 18,
    "microphone": 24,
    "preamplifier": 25,
    "input": 25,
}


def symbol(key: str, *, left: float, wire: float) -> QPainterPath:
    """Return a link's symbol, to be stroked; its left edge and the wire's height in px."""
    path = _DRAWN[key]()
    path.translate(left, wire)
    return path


def waves() -> QPainterPath:
    """Return what leaves a unit that sounds, about the wire at 0; stroked like a symbol."""
    path = QPainterPath()
    for radius in (8.0, 13.0, 18.0):
        box = QRectF(14 - radius, -radius, 2 * radius, 2 * radius)
        path.arcMoveTo(box, 42)
        path.arcTo(box, 42, -84)
    return path


def _card() -> QPainterPath:
    path = QPainterPath()
    path.addRect(QRectF(1.5, -9.5, 23, 18))
    return path


def _output() -> QPainterPath:
    path = _card()
    path.moveTo(5, -0.5)
    path.cubicTo(8.5, -10, 10.5, -7, 13, -0.5)
    path.cubicTo(15.5, 6, 17.5, 9, 21, -0.5)
    return path


def _input() -> QPainterPath:
    path = _card()
    for step, half in enumerate((2.0, 4.5, 3.0, 4.5, 2.5, 3.5)):
        x = 5.5 + 3 * step
        middle = -2.0 if step < 3 else 1.0
        path.moveTo(x, middle - half + 0.5)
        path.lineTo(x, middle + half - 0.5)
    return path


def _amplifier() -> QPainterPath:
    path = QPainterPath(QPointF(3.5, -11))
    path.lineTo(24, 0)
    path.lineTo(3.5, 11)
    path.closeSubpath()
    return path


def _resistor() -> QPainterPath:
    path = QPainterPath()
    path.addRect(QRectF(1, -5.5, 24, 10))
    return path


def _unit() -> QPainterPath:
    path = QPainterPath()
    path.addRect(QRectF(3.5, -5, 6, 10))
    path.moveTo(9.5, -5)
    path.lineTo(18, -10.5)
    path.lineTo(18, 10.5)
    path.lineTo(9.5, 5)
    return path


def _microphone() -> QPainterPath:
    path = QPainterPath()
    path.addEllipse(QPointF(13.5, 0), 9.5, 9.5)
    path.moveTo(3, -10.5)
    path.lineTo(3, 10.5)
    return path


_DRAWN: dict[str, Callable[[], QPainterPath]] = {
    "output": _output,
    "amplifier": _amplifier,
    "sense": _resistor,
    "unit": _unit,
    "microphone": _microphone,
    "preamplifier": _amplifier,
    "input": _input,
}
