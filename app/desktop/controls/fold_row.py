"""A line that unfolds what is seldom typed, and says what stands there while it is folded."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.told import told

_HEIGHT = 26
_ARROW = 4.0
_LEFT = 18.0
_GAP = 8.0


class FoldRow(QAbstractButton):
    """Shows and hides widgets below it; ``toggled`` (bool) tells which.

    Parameters
    ----------
    title : str
        What is folded.
    inside : widgets
        Hidden at first.
    """

    def __init__(self, title: str, *inside: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._inside, self._fact = inside, ""
        self.setText(title)
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.toggled.connect(self._show)
        self._show(on=False)

    @property
    def fact(self) -> str:
        """What it says while it is folded."""
        return self._fact

    def set_fact(self, fact: str) -> None:
        """Say something else of what is folded."""
        self._fact = fact
        self._name()
        self.update()

    def sizeHint(self) -> QSize:
        """Return a line's height."""
        wide = QFontMetricsF(font(13)).horizontalAdvance(self.text())
        return QSize(round(_LEFT + wide), _HEIGHT)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint the arrow, the title and, folded, the fact."""
        painter, tokens = QPainter(self), tokens_of(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(tokens.ink2), 1.5))
        painter.drawPolyline(self._arrow(QPointF(_ARROW + 2, self.height() / 2)))
        middle = Qt.AlignmentFlag.AlignVCenter
        painter.setFont(font(13))
        painter.drawText(QRectF(_LEFT, 0, self.width() - _LEFT, self.height()), middle, self.text())
        if self._fact and not self.isChecked():
            taken = _LEFT + QFontMetricsF(font(13)).horizontalAdvance(self.text()) + _GAP
            room = QRectF(taken, 0, max(0.0, self.width() - taken), self.height())
            quiet = QFontMetricsF(font(12))
            painter.setFont(font(12))
            painter.setPen(QColor(tokens.ink3))
            said = quiet.elidedText(
                told(self, self._fact), Qt.TextElideMode.ElideRight, room.width()
            )
            painter.drawText(room, middle | Qt.AlignmentFlag.AlignRight, said)
        if self.hasFocus():
            painter.setPen(QPen(QColor(tokens.focus), 2))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 3, 3)

    def _arrow(self, at: QPointF) -> QPolygonF:
        """Return a chevron: to the right while folded, down while open."""
        long, short = _ARROW, _ARROW / 2
        if self.isChecked():
            ends = ((-long, -short), (0.0, short), (long, -short))
        else:
            ends = ((-short, -long), (short, 0.0), (-short, long))
        return QPolygonF([at + QPointF(x, y) for x, y in ends])

    def _show(self, on: bool) -> None:  # noqa: FBT001  a switch's signal
        for widget in self._inside:
            widget.setVisible(on)
        self._name()

    def _name(self) -> None:
        state = "open" if self.isChecked() else "folded"
        self.setAccessibleName(", ".join(filter(None, (self.text(), self._fact, state))))
