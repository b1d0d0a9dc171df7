"""A note that hangs over the chosen point: where it is, what it was, what it does."""

import numpy as np
from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.plots.frequency_paint import FLAG_HEIGHT
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.write import width_of

_PAD, _LINE = 9.0, 18.0
_TOP, _BOTTOM = FLAG_HEIGHT + 4.0, 10.0  # below the flag of the cursor, which is at the point
_MARK = 14.0  # px that the line stays away from the handle


class PointNote(QWidget):
    """Lies over the plot's area and lets every click through."""

    def __init__(self, plot: FrequencyPlot) -> None:
        super().__init__(plot.canvas)
        self._plot = plot
        self._words: tuple[str, ...] = ()
        self._at: tuple[float, float] | None = None
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        plot.canvas.installEventFilter(self)
        plot.canvas.x_range.changed.connect(self.update)

    @property
    def words(self) -> tuple[str, ...]:
        """What it says."""
        return self._words

    def say(self, words: tuple[str, ...], *, at: tuple[float, float] | None) -> None:
        """Hang the note over a point, (Hz, value); without one it is gone."""
        if (words, at) != (self._words, self._at):
            # What lies below is painted anew with it: no more of it than need be.
            before = self._room()
            self._words, self._at = words, at
            self.update(before.united(self._room()).toAlignedRect())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow the size of the plot."""
        if event.type() == QEvent.Type.Resize:
            self.setGeometry(self._plot.canvas.rect())
        return super().eventFilter(watched, event)

    def _place(self) -> tuple[QPointF, QRectF] | None:
        """Return where the point is and where the note hangs; None: nowhere."""
        if self._at is None or not self._words:
            return None
        frame = self._plot.canvas.frame()
        x, y = frame.px_of(float(np.log10(self._at[0]))), frame.py_of(self._at[1])
        if not frame.holds(x, y):
            return None
        wide = max(width_of(line, px=12, bold=not n) for n, line in enumerate(self._words))
        box = QRectF(0, frame.top + _TOP, wide + 2 * _PAD, _LINE * len(self._words) + _PAD)
        box.moveLeft(min(max(x - _MARK, frame.left + 4), frame.right_edge - box.width() - 4))
        if y < box.bottom() + _MARK:  # the point stands where the note would hang
            box.moveBottom(frame.bottom - _BOTTOM)
        return QPointF(x, y), box

    def _room(self) -> QRectF:
        """Return what note and line cover."""
        placed = self._place()
        if placed is None:
            return QRectF()
        return placed[1].united(QRectF(placed[0], QSizeF(1, 1))).adjusted(-2, -2, 2, 2)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the note and its line."""
        del event
        placed = self._place()
        if placed is None:
            return
        (x, y), box, tokens = placed[0].toTuple(), placed[1], tokens_of(self)
        below = y < box.top()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QColor(tokens.ink))
        if below:
            painter.drawLine(round(x), round(y + _MARK), round(x), round(box.top()))
        else:
            painter.drawLine(round(x), round(box.bottom()), round(x), round(y - _MARK))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(tokens.ink))
        painter.drawRoundedRect(box, 2, 2)
        painter.setPen(QColor(tokens.plot))
        for number, line in enumerate(self._words):
            painter.setFont(font(12, bold=not number))
            top, wide = box.top() + _PAD / 2 + number * _LINE, box.width() - 2 * _PAD
            row = QRectF(box.left() + _PAD, top, wide + 2, _LINE)
            painter.drawText(row, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, line)
        painter.end()
