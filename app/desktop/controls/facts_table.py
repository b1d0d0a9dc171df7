"""Every figure of the window: name, value, interval, unit, mark, one beneath the other."""

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QFontMetricsF,
    QGuiApplication,
    QHelpEvent,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from app.desktop import glyphs
from app.desktop.controls.fact_columns import FactColumns, columns_of
from app.desktop.fonts import font
from app.desktop.palette import Tokens, tokens_of
from app.desktop.presenters.facts_text import spoken, tab_separated
from app.desktop.presenters.figures import Fact

ROW = 22
_TIGHTEST = 19  # px a row, where the window is low
_GLYPH = 13.0
_GLYPH_ROOM = 20.0
_VALIGN = Qt.AlignmentFlag.AlignVCenter
_LEFT, _RIGHT = Qt.AlignmentFlag.AlignLeft | _VALIGN, Qt.AlignmentFlag.AlignRight | _VALIGN


class FactsTable(QWidget):
    """Facts in rows of 22 px; ``row_pressed`` (its number) tells of a click or of Enter.

    Parameters
    ----------
    name : str
        What the facts are about, for those who hear it.
    words : bool
        Values are words or hold their unit: one column at the right, in plain type. Interval and
        unit follow where there is room; a fact that has them says them in its note, too.
    """

    row_pressed = Signal(int)

    def __init__(
        self, name: str = "", *, words: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._name, self._words = name, words
        self._facts: tuple[Fact, ...] = ()
        self._row: int | None = None
        self._stale = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    @property
    def facts(self) -> tuple[Fact, ...]:
        """What is shown."""
        return self._facts

    def set_facts(self, facts: Sequence[Fact]) -> None:
        """Show other facts."""
        if tuple(facts) == self._facts:
            return
        if len(facts) != len(self._facts):
            self._row = None
            self.updateGeometry()
        self._facts = tuple(facts)
        self.setAccessibleName(self._name)
        self.setAccessibleDescription(spoken(self._facts))
        self.update()

    def set_stale(self, *, stale: bool) -> None:
        """Show the values in the third ink while newer ones are on their way."""
        self._stale = stale
        self.update()

    def sizeHint(self) -> QSize:
        """Return 22 px a row."""
        return QSize(200, ROW * len(self._facts))

    def minimumSizeHint(self) -> QSize:
        """Return 19 px a row."""
        return QSize(120, _TIGHTEST * len(self._facts))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint the rows."""
        if not self._facts:
            return
        painter, tokens = QPainter(self), tokens_of(self)
        columns = columns_of(self._facts, width=self.width())
        for number, fact in enumerate(self._facts):
            line = self._line(number)
            if number:
                painter.fillRect(QRectF(0, line.top(), self.width(), 1), QColor(tokens.hair))
            if self._words:
                name = self._paint_name(painter, fact, line, until=line.width() - 8)
                self._paint_words(painter, fact, line.adjusted(name + 8, 0, 0, 0))
            else:
                left = columns.beside(self._name_end(fact), fact)
                self._paint_name(painter, fact, line, until=left - 2)
                self._paint_figure(painter, fact, line=line, columns=columns, left=left)
            if number == self._row and self.hasFocus():
                painter.setPen(QPen(QColor(tokens.focus), 2))
                painter.drawRect(line.adjusted(1, 1, -1, -1))

    @staticmethod
    def _name_end(fact: Fact) -> float:
        left = 0.0 if fact.mark is None else _GLYPH_ROOM
        return left + QFontMetricsF(font(13)).horizontalAdvance(fact.name)

    def _paint_name(self, painter: QPainter, fact: Fact, line: QRectF, *, until: float) -> float:
        tokens, left = tokens_of(self), 0.0
        if fact.mark is not None:
            top = line.center().y() - _GLYPH / 2
            glyphs.paint(painter, fact.mark, QRectF(0, top, _GLYPH, _GLYPH), tokens=tokens)
            left = _GLYPH_ROOM
        metrics = QFontMetricsF(font(13))
        name = metrics.elidedText(fact.name, Qt.TextElideMode.ElideRight, until - left)
        painter.setFont(font(13))
        painter.setPen(QColor(tokens.ink2))
        painter.drawText(line.adjusted(left, 0, 0, 0), _LEFT, name)
        return left + metrics.horizontalAdvance(name)

    def _paint_words(self, painter: QPainter, fact: Fact, room: QRectF) -> None:
        metrics, most = QFontMetricsF(font(13)), max(0.0, room.width())
        value = " ".join(filter(None, (fact.value, fact.interval, fact.unit)))
        if metrics.horizontalAdvance(value) > most:
            value = fact.value  # what else belongs to it stands in the note
        painter.setPen(QColor(self._ink(tokens_of(self))))
        short = metrics.elidedText(value, Qt.TextElideMode.ElideRight, most)
        painter.drawText(room, _RIGHT, short)

    def _paint_figure(
        self,
        painter: QPainter,
        fact: Fact,
        *,
        line: QRectF,
        columns: FactColumns,
        left: float,
    ) -> None:
        tokens = tokens_of(self)
        painter.setFont(font(13, bold=True))
        painter.setPen(QColor(self._ink(tokens)))
        painter.drawText(QRectF(left, line.top(), line.width(), line.height()), _LEFT, fact.value)
        painter.setFont(font(12))
        painter.setPen(QColor(tokens.ink3))
        for text, at in ((fact.interval, columns.interval_x), (fact.unit, columns.unit_x)):
            painter.drawText(QRectF(at, line.top(), line.width(), line.height()), _LEFT, text)

    def _ink(self, tokens: Tokens) -> str:
        return tokens.ink3 if self._stale else tokens.ink

    def event(self, event: QEvent) -> bool:
        """Keep Ctrl C for this table, and show the note of a row."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            if event.matches(QKeySequence.StandardKey.Copy):
                event.accept()
                return True
        elif isinstance(event, QHelpEvent) and (row := self._row_at(event.pos().toPointF())):
            QToolTip.showText(event.globalPos(), self._facts[row - 1].note, self)
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Copy with Ctrl C, walk with Up and Down, press with Enter."""
        if event.matches(QKeySequence.StandardKey.Copy):
            QGuiApplication.clipboard().setText(tab_separated(self._facts))
        elif event.key() in {Qt.Key.Key_Up, Qt.Key.Key_Down} and self._facts:
            step = 1 if event.key() == Qt.Key.Key_Down else -1
            start = -1 if self._row is None else self._row
            self._row = min(max(start + step, 0), len(self._facts) - 1)
            self.setAccessibleDescription(spoken(self._facts[self._row : self._row + 1]))
            self.update()
        elif event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter} and self._row is not None:
            self.row_pressed.emit(self._row)
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Press the row under the pointer."""
        if row := self._row_at(event.position()):
            self._row = row - 1
            self.row_pressed.emit(self._row)
            self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Take the ring away."""
        super().focusOutEvent(event)
        self.update()

    def _row_at(self, at: QPointF) -> int:
        """Return the number of a row counted from 1; 0 beside all."""
        for number in range(len(self._facts)):
            if self._line(number).contains(at):
                return number + 1
        return 0

    def _line(self, number: int) -> QRectF:
        tight = self.height() / max(1, len(self._facts))
        high = float(int(min(ROW, max(_TIGHTEST, tight))))
        return QRectF(0, number * high, self.width(), high)
