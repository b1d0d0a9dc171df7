"""Outside the valid range: hatched ground, a dashed edge, and the reason at it."""

from dataclasses import dataclass

from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QColor, QPainter

from app.desktop.palette import Tokens
from app.desktop.plots.frame import Frame
from app.desktop.plots.pens import dashed_pen, ink_pen, tinted
from app.desktop.plots.write import width_of, write
from app.desktop.presenters.figures import hz_text

_PITCH = 7  # px between hatches
_GAP = 7.0  # px between an edge and its words
_FROM_BOTTOM, _LINE_UP = 16.0, 34.0  # px, where the words stand; the second where they would meet


@dataclass(frozen=True, slots=True, kw_only=True)
class Validity:
    """Where a plot may be believed, Hz; None at an end that nothing limits.

    ``planned`` says that it would be so with the present setting, as nothing is measured yet.
    """

    low: float | None = None
    high: float | None = None
    reason: str = ""
    high_reason: str = ""
    planned: bool = False

    @property
    def low_words(self) -> str:
        """What stands at the lower edge."""
        return self._words("from", self.low, self.reason)

    @property
    def high_words(self) -> str:
        """What stands at the upper edge."""
        return self._words("to", self.high, self.high_reason)

    def _words(self, side: str, hz: float | None, reason: str) -> str:
        if hz is None:
            return ""
        if self.planned and reason:
            return f"with this {reason}, valid {side} {hz_text(hz)}"
        return f"valid {side} {hz_text(hz)}" + (f" ({reason})" if reason else "")


def paint_invalid(
    painter: QPainter, frame: Frame, *, low: float | None, high: float | None, tokens: Tokens
) -> None:
    """Hatch what lies below ``low`` and above ``high``, in units of the x axis."""
    if low is not None and low > frame.x.low:
        edge = min(frame.px_of(low), frame.right_edge)
        _hatch(painter, QRectF(frame.left, frame.top, edge - frame.left, frame.height), tokens)
        _edge(painter, frame, x=edge, tokens=tokens)
    if high is not None and high < frame.x.high:
        edge = max(frame.px_of(high), frame.left)
        _hatch(painter, QRectF(edge, frame.top, frame.right_edge - edge, frame.height), tokens)
        _edge(painter, frame, x=edge, tokens=tokens)


def write_reasons(
    painter: QPainter,
    frame: Frame,
    validity: Validity,
    *,
    low: float | None,
    high: float | None,
    tokens: Tokens,
) -> None:
    """Write why the range ends, at its edges: in the hatched part if they fit, else beside it."""
    written: list[tuple[float, float]] = []
    for place, words, outward in (
        (low, validity.low_words, -1),
        (high, validity.high_words, 1),
    ):
        if place is None or not words or not frame.x.low < place < frame.x.high:
            continue
        left, right = _span(frame, frame.px_of(place), width=width_of(words), outward=outward)
        is_taken = any(left < b and a < right for a, b in written)
        y = frame.bottom - (_LINE_UP if is_taken else _FROM_BOTTOM)
        veil = tinted(tokens.plot, 0.92)
        write(painter, QPointF(left, y), words, colour=tokens.ink2, veil=veil)
        written.append((left, right))


def _span(frame: Frame, edge: float, *, width: float, outward: int) -> tuple[float, float]:
    room = frame.right_edge - edge if outward > 0 else edge - frame.left
    side = outward if room >= width + 2 * _GAP else -outward
    left = edge + _GAP if side > 0 else edge - _GAP - width
    left = min(max(left, frame.left + _GAP), frame.right_edge - _GAP - width)
    return left, left + width


def _hatch(painter: QPainter, rect: QRectF, tokens: Tokens) -> None:
    painter.fillRect(rect, tinted(tokens.ink, 0.035))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(ink_pen(tokens.ink, alpha=0.10))
    lines = []
    width, height = rect.width(), rect.height()
    # Each from the bottom up to the right, cut at the rectangle by itself: pictures don't clip.
    start = -height
    while start < width:
        first, last = max(start, 0.0), min(start + height, width)
        if last > first:
            low = QPointF(rect.left() + first, rect.bottom() - (first - start))
            high = QPointF(rect.left() + last, rect.bottom() - (last - start))
            lines.append(QLineF(low, high))
        start += _PITCH
    painter.drawLines(lines)


def _edge(painter: QPainter, frame: Frame, *, x: float, tokens: Tokens) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setPen(dashed_pen(QColor(tokens.ink3).name()))
    at = round(x) + 0.5
    painter.drawLine(QLineF(at, frame.top, at, frame.bottom))
