"""The box of a field: what is typed, its unit inside at the right, steps by the arrow keys."""

from PySide6.QtCore import QEvent, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from app.desktop.fonts import font
from app.desktop.palette import tokens_of

_PAD = 6
_ENTER = {Qt.Key.Key_Return, Qt.Key.Key_Enter}
_STEPS = {Qt.Key.Key_Up: 1, Qt.Key.Key_Down: -1}


class TextBox(QLineEdit):
    """A line of text with a unit; ``stepped`` (signed number of steps) tells of Up and Down."""

    stepped = Signal(int)

    def __init__(self, *, unit: str, numeric: bool, px: float = 13, parent: QWidget) -> None:
        super().__init__(parent)
        self._unit = ""
        self._px = px
        self.steps = False
        self.setFont(font(px))
        right = Qt.AlignmentFlag.AlignRight if numeric else Qt.AlignmentFlag.AlignLeft
        self.setAlignment(right | Qt.AlignmentFlag.AlignVCenter)
        self.set_unit(unit)

    @property
    def unit(self) -> str:
        """What stands behind the text."""
        return self._unit

    def set_unit(self, unit: str) -> None:
        """Put another unit behind the text."""
        self._unit = unit
        wide = QFontMetricsF(font(12)).horizontalAdvance(unit)
        self.setTextMargins(_PAD - 2, 0, round(wide) + _PAD + 6 if unit else _PAD - 2, 0)
        self.update()

    def event(self, event: QEvent) -> bool:
        """Keep Enter from the window's shortcuts: in a field it ends what is typed."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and event.key() in _ENTER
        ):
            event.accept()
            return True
        return super().event(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the text as ever, then the unit."""
        super().paintEvent(event)
        if self._unit:
            painter = QPainter(self)
            painter.setFont(font(12))
            painter.setPen(QColor(tokens_of(self).ink3))
            right = QRectF(0, 0, self.width() - _PAD - 2, self.height())
            align = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
            painter.drawText(right, align, self._unit)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Step on Up and Down, ten times as far with Shift; everything else as ever."""
        way = _STEPS.get(Qt.Key(event.key()), 0) if self.steps else 0
        if not way:
            super().keyPressEvent(event)
            return
        shifted = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        self.stepped.emit(10 * way if shifted else way)
