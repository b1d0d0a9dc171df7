"""A note that hangs over the chosen point: where it is, what it was, what it does."""

import math

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.plots.frequency_paint import FLAG_HEIGHT
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.write import width_of

_PAD, _LINE = 9, 18
_TOP, _BOTTOM = round(FLAG_HEIGHT) + 4, 10  # below the flag of the cursor, which is at the point
_MARK = 14  # px that the line stays away from the handle


class PointNote(QObject):
    """Lies over the plot's area and lets every click through.

    Words and line are widgets of their own: other words at the same place have nothing painted
    anew but themselves.
    """

    def __init__(self, plot: FrequencyPlot) -> None:
        super().__init__(plot)
        self._plot = plot
        self._at: tuple[float, float] | None = None
        self._is_wanted = True
        self._line, self._box = _Line(plot.canvas), _Box(plot.canvas)
        plot.canvas.installEventFilter(self)
        plot.canvas.x_range.changed.connect(self._place)

    @property
    def words(self) -> tuple[str, ...]:
        """What it says."""
        return self._box.words

    def say(self, words: tuple[str, ...], *, at: tuple[float, float] | None) -> None:
        """Hang the note over a point, (Hz, value); without one it is gone."""
        self._at = at
        self._box.say(words)
        self._place()

    def set_visible(self, *, shown: bool) -> None:
        """Let it be seen, where there is something to say."""
        self._is_wanted = shown
        self._place()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow the plot."""
        if event.type() in {QEvent.Type.Resize, QEvent.Type.Paint}:
            self._place()
        return super().eventFilter(watched, event)

    def _place(self) -> None:
        point = self._point() if self._is_wanted and self._box.words else None
        for part in (self._line, self._box):
            part.setVisible(point is not None)
        if point is None:
            return
        frame, box = self._plot.canvas.frame(), QRect(QPoint(), self._box.sizeHint())
        left, right = round(frame.left) + 4, round(frame.right_edge) - 4
        box.moveTo(min(max(point.x() - _MARK, left), right - box.width()), round(frame.top) + _TOP)
        if point.y() >= box.bottom() + _MARK:
            above, below = box.bottom() + 1, point.y() - _MARK
        else:  # the point stands where the note would hang
            box.moveBottom(round(frame.bottom) - _BOTTOM)
            above, below = point.y() + _MARK, box.top()
        self._box.setGeometry(box)
        self._line.setGeometry(point.x(), above, 1, max(0, below - above))

    def _point(self) -> QPoint | None:
        frame = self._plot.canvas.frame()
        if self._at is None:
            return None
        x, y = frame.px_of(math.log10(self._at[0])), frame.py_of(self._at[1])
        return QPoint(round(x), round(y)) if frame.holds(x, y) else None


class _Part(QWidget):
    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)  # nothing shines through
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.hide()


class _Line(_Part):
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(event.rect(), QColor(tokens_of(self).ink))
        painter.end()


class _Box(_Part):
    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.words: tuple[str, ...] = ()

    def say(self, words: tuple[str, ...]) -> None:
        if words != self.words:
            self.words = words
            self.update()

    def sizeHint(self) -> QSize:
        wide = max(width_of(line, px=12, bold=not n) for n, line in enumerate(self.words))
        return QSize(math.ceil(wide) + 2 * _PAD, _LINE * len(self.words) + _PAD)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, tokens = QPainter(self), tokens_of(self)
        painter.fillRect(event.rect(), QColor(tokens.ink))
        painter.setPen(QColor(tokens.plot))
        for number, line in enumerate(self.words):
            painter.setFont(font(12, bold=not number))
            row = QRectF(_PAD, _PAD / 2 + number * _LINE, self.width() - _PAD, _LINE)
            painter.drawText(row, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, line)
        painter.end()
