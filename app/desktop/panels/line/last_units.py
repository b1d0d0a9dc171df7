"""The last units as marks in a row, the newest at the right."""

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QHelpEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QToolTip, QWidget

from app.desktop import glyphs
from app.desktop.fonts import font
from app.desktop.palette import Tokens, tokens_of
from app.desktop.presenters.line_side import SHOWN_UNITS, LastUnit
from app.desktop.presenters.mark import Mark, mark_of
from dsp.conformity.verdict import Verdict

HEIGHT = 66
_WORDS_Y, _GLYPHS_Y = 24.0, 50.0
_GLYPH = 20.0
_EMPTY = 3.0


class LastUnits(QWidget):
    """24 places; ``pressed`` (id of a take) tells which mark was pressed."""

    pressed = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units: tuple[LastUnit, ...] = ()
        self.setFixedHeight(HEIGHT)
        self.set_units(())

    @property
    def units(self) -> tuple[LastUnit, ...]:
        """What is shown, the newest last."""
        return self._units

    def set_units(self, units: tuple[LastUnit, ...]) -> None:
        """Show other units."""
        self._units = units
        told = "; ".join(unit.words for unit in reversed(units)) or "none yet"
        self.setAccessibleName(f"Last {SHOWN_UNITS} units, newest first: {told}")
        self.update()

    def place(self, number: int) -> QPointF:
        """Return the middle of a unit's mark, counted from the oldest shown."""
        step = self.width() / SHOWN_UNITS
        slot = SHOWN_UNITS - len(self._units) + number
        return QPointF((slot + 0.5) * step, _GLYPHS_Y)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint head and marks; a dot where no unit has been yet."""
        painter, tokens = QPainter(self), tokens_of(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_head(painter, tokens)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(tokens.hair))
        step = self.width() / SHOWN_UNITS
        for slot in range(SHOWN_UNITS - len(self._units)):
            painter.drawEllipse(QPointF((slot + 0.5) * step, _GLYPHS_Y), _EMPTY, _EMPTY)
        for number, unit in enumerate(self._units):
            middle = self.place(number)
            half = QPointF(_GLYPH / 2, _GLYPH / 2)
            glyphs.paint(painter, unit.mark, QRectF(middle - half, middle + half), tokens=tokens)

    def _paint_head(self, painter: QPainter, tokens: Tokens) -> None:
        line = QRectF(0, _WORDS_Y - 10, self.width(), 20)
        middle = Qt.AlignmentFlag.AlignVCenter
        title = f"Last {SHOWN_UNITS} units"
        painter.setFont(font(13, bold=True))
        painter.setPen(QColor(tokens.ink))
        painter.drawText(line, middle | Qt.AlignmentFlag.AlignLeft, title)
        taken = QFontMetricsF(font(13, bold=True)).horizontalAdvance(title) + 16
        painter.setFont(font(12))
        painter.setPen(QColor(tokens.ink3))
        painter.drawText(
            line.adjusted(taken, 0, 0, 0),
            middle | Qt.AlignmentFlag.AlignRight,
            self._told(),
        )

    def _told(self) -> str:
        if not self._units:
            return "none yet"
        bad = sum(unit.mark is mark_of(Verdict.DOES_NOT_CONFORM) for unit in self._units)
        open_ = sum(unit.mark is Mark.UNDECIDED for unit in self._units)
        bare = sum(unit.mark is mark_of(Verdict.NOT_JUDGED) for unit in self._units)
        parts = [f"{bad} do not conform" if bad > 1 else "1 does not conform" if bad else ""]
        parts += [f"{open_} not decided" if open_ else ""]
        parts += [f"{bare} not judged" if bare else "", "newest at the right"]
        return ", ".join(filter(None, parts))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Press the mark under the pointer."""
        if (unit := self._unit_at(event.position())) is not None:
            self.pressed.emit(unit.take_id)

    def event(self, event: QEvent) -> bool:
        """Name the unit under the pointer."""
        if isinstance(event, QHelpEvent) and (unit := self._unit_at(event.pos().toPointF())):
            QToolTip.showText(event.globalPos(), unit.words, self)
            return True
        return super().event(event)

    def _unit_at(self, at: QPointF) -> LastUnit | None:
        for number, unit in enumerate(self._units):
            away = at - self.place(number)
            if max(abs(away.x()), abs(away.y())) <= _GLYPH * 0.65:
                return unit
        return None
