"""The value at arm's length, and beside it what was looked at before it is believed."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop import glyphs
from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.presenters.calibrate_result import CheckRow

_SMALLEST = 112
_VALUE_PX, _BESIDE_PX = 56, 18
_CHECKS_LEFT = 320.0
_NAME_PX = 96.0
_TOP, _ROW = 6.0, 26.0
_GLYPH = 13.0
_SENTENCE_LEFT = _CHECKS_LEFT + _GLYPH + 8 + _NAME_PX
_WRAPPED = Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextWordWrap


class CalibrateValue(QWidget):
    """Paints value, interval and unit; up to four checks at the right, as high as they are said."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.value, self.interval, self.unit = "—", "", "mV/Pa"
        self.is_final = False
        self.checks: tuple[CheckRow, ...] = ()
        self.setFixedHeight(_SMALLEST)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self._name_it()

    def set_value(self, value: str, interval: str = "", *, is_final: bool = False) -> None:
        """Show another value; one that is not final stands in the third ink."""
        self.value, self.interval, self.is_final = value, interval, is_final
        self._name_it()

    def set_checks(self, checks: Sequence[CheckRow]) -> None:
        """Show what was looked at."""
        self.checks = tuple(checks)
        self.setToolTip("\n".join(f"{one.name}: {one.sentence}" for one in checks))
        self._fit()
        self._name_it()

    def sizeHint(self) -> QSize:
        """Return the room of both."""
        return QSize(640, self.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Wrap the sentences anew."""
        super().resizeEvent(event)
        self._fit()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint rule, title, value, checks."""
        painter, tokens = QPainter(self), tokens_of(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(QRectF(0, 0, self.width(), 1), QColor(tokens.edge))
        painter.setPen(QColor(tokens.ink))
        painter.setFont(font(13, bold=True))
        painter.drawText(QRectF(0, 2, 200, 26), Qt.AlignmentFlag.AlignVCenter, "Sensitivity")
        large = font(_VALUE_PX, bold=True)
        painter.setFont(large)
        painter.setPen(QColor(tokens.ink if self.is_final else tokens.ink3))
        painter.drawText(QRectF(0, 28, _CHECKS_LEFT, 74), Qt.AlignmentFlag.AlignVCenter, self.value)
        beside = QFontMetricsF(large).horizontalAdvance(self.value) + 18
        painter.setFont(font(_BESIDE_PX))
        painter.setPen(QColor(tokens.ink2))
        for line, text in enumerate((self.interval, self.unit)):
            room = QRectF(beside, 40 + 26 * line, 140, 26)
            painter.drawText(room, Qt.AlignmentFlag.AlignVCenter, text)
        self._paint_checks(painter)

    def _paint_checks(self, painter: QPainter) -> None:
        tokens = tokens_of(self)
        painter.setFont(font(13))
        top = _TOP
        for check, high in zip(self.checks, self._row_heights(), strict=True):
            place = QRectF(_CHECKS_LEFT, top + (_ROW - _GLYPH) / 2, _GLYPH, _GLYPH)
            glyphs.paint(painter, check.mark, place, tokens=tokens)
            painter.setPen(QColor(tokens.ink2))
            room = QRectF(place.right() + 8, top, _NAME_PX, _ROW)
            painter.drawText(room, Qt.AlignmentFlag.AlignVCenter, check.name)
            painter.setPen(QColor(tokens.ink))
            room = QRectF(_SENTENCE_LEFT, top, self._sentence_width(), high)
            painter.drawText(room, _WRAPPED, check.sentence)
            top += high

    def _row_heights(self) -> list[float]:
        """Return what each check takes, px: a row, and a line more for each that it wraps to."""
        measure, wide = QFontMetricsF(font(13)), self._sentence_width()
        endless = QRectF(0, 0, wide, 1e4)
        lines = (
            measure.boundingRect(endless, Qt.TextFlag.TextWordWrap, check.sentence).height()
            for check in self.checks
        )
        return [_ROW + max(0.0, high - measure.height()) for high in lines]

    def _sentence_width(self) -> float:
        return max(1.0, self.width() - _SENTENCE_LEFT)

    def _fit(self) -> None:
        self.setFixedHeight(max(_SMALLEST, round(_TOP + sum(self._row_heights()))))

    def _name_it(self) -> None:
        said = " ".join(filter(None, ("Sensitivity", self.value, self.interval, self.unit)))
        self.setAccessibleName(said if self.is_final else f"{said}, not settled")
        self.setAccessibleDescription(
            "; ".join(f"{one.name}, {one.mark.value}: {one.sentence}" for one in self.checks)
        )
        self.update()
