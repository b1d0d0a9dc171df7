"""A button for an action, with the key that does the same."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QAction, QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from app.desktop.fonts import font
from app.desktop.palette import Tokens, tokens_of
from app.desktop.text import key_of

_PAD = 14
_CAP_PAD = 6
_CAP_HEIGHT = 18.0


class KeyButton(QAbstractButton):
    """Says an action's words and key, is enabled when it is, and triggers it.

    Parameters
    ----------
    action : QAction
        What it does.
    primary : bool
        Filled with ink, 36 px high: the one of its bay.
    text, key : str or None
        Instead of the action's own words and first key.
    """

    def __init__(
        self,
        action: QAction,
        *,
        primary: bool = False,
        text: str | None = None,
        key: str | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._action, self._primary = action, primary
        self._own_text, self._key = text, key
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.clicked.connect(self._press)
        action.changed.connect(self._follow)
        self._follow()

    @property
    def key(self) -> str:
        """What stands on the cap."""
        return key_of(self._action) if self._key is None else self._key

    def set_action(self, action: QAction, *, key: str | None = None) -> None:
        """Stand for another action."""
        if action is self._action and key == self._key:
            return
        if action is not self._action:
            self._action.changed.disconnect(self._follow)
            self._action = action
            action.changed.connect(self._follow)
        self._key = key
        self._follow()

    def set_text(self, text: str | None) -> None:
        """Say something else than the action does; None: its own words again."""
        if text != self._own_text:
            self._own_text = text
            self._follow()

    def sizeHint(self) -> QSize:
        """Return what words and cap take."""
        wide = _PAD + QFontMetricsF(self._font()).horizontalAdvance(self.text()) + _PAD
        if self.key:
            wide += self._cap_width() - _PAD + 24
        return QSize(round(wide), 36 if self._primary else 30)

    def minimumSizeHint(self) -> QSize:
        """Return the same: a button is never cut."""
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint edge, words and cap."""
        painter, tokens = QPainter(self), tokens_of(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ink = self._paint_ground(painter, tokens)
        painter.setPen(ink)
        painter.setFont(self._font())
        words = QRectF(_PAD, 0, self.width() - _PAD, self.height())
        painter.drawText(words, Qt.AlignmentFlag.AlignVCenter, self.text())
        if self.key:
            self._paint_cap(painter, ink)
        if self.hasFocus():
            painter.setPen(QPen(QColor(tokens.focus), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 4, 4)

    def _paint_ground(self, painter: QPainter, tokens: Tokens) -> QColor:
        body = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        filled = self._primary and self.isEnabled()
        fill = tokens.ink if filled else tokens.hair if self.isDown() else tokens.card
        if filled and self.isDown():
            fill = tokens.ink2
        painter.setPen(QPen(QColor(tokens.ink if filled else tokens.edge), 1))
        painter.setBrush(QColor(fill))
        painter.drawRoundedRect(body, 4, 4)
        if not self.isEnabled():
            return QColor(tokens.ink3)
        return QColor(tokens.paper if filled else tokens.ink)

    def _paint_cap(self, painter: QPainter, ink: QColor) -> None:
        wide = self._cap_width()
        top = (self.height() - _CAP_HEIGHT) / 2
        cap = QRectF(self.width() - 10.5 - wide, top, wide, _CAP_HEIGHT)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(ink, 1))
        painter.drawRoundedRect(cap, 3, 3)
        painter.setFont(font(11))
        painter.drawText(cap, Qt.AlignmentFlag.AlignCenter, self.key)

    def _cap_width(self) -> float:
        written = QFontMetricsF(font(11)).horizontalAdvance(self.key)
        return float(round(max(_CAP_HEIGHT + 1, written + 2 * _CAP_PAD)))

    def _font(self) -> QFont:
        return font(14, bold=True) if self._primary else font(13)

    def _press(self) -> None:
        self._action.trigger()

    def _follow(self) -> None:
        self.setEnabled(self._action.isEnabled())
        self.setText(self._action.text() if self._own_text is None else self._own_text)
        self.setAccessibleName(" ".join(filter(None, (self.text(), self.key))))
        self.updateGeometry()
        self.update()
