"""The row under the strip: five bays, what happened and what comes next, the one button."""

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QAction,
    QColor,
    QFontMetricsF,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QSpacerItem, QWidget

from app.desktop.actions import BAYS, Actions
from app.desktop.bay_words_view import BayWordsView
from app.desktop.controls.key_button import KeyButton
from app.desktop.fonts import font
from app.desktop.palette import Tokens, tokens_of
from app.desktop.presenters.bay_words import BayWords
from app.desktop.text import key_of

HEIGHT = 56
_WORDS_LEFT, _LEAST_GAP = 440, 16
_NARROW = 1180  # px, as of a bay's columns: then the words need the gap before them
_PRIMARY = 112  # least width of the button, that of Stop above it
_PROGRESS = 3
_PAD = 11  # of a tab, on either side


class BayTab(QAbstractButton):
    """One bay's name; the chosen one hangs from the strip by an ink bar."""

    def __init__(self, action: QAction, *, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._action = action
        self.setText(action.text())
        self.setCheckable(True)
        self.setAutoExclusive(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        action.changed.connect(self._follow)
        self._follow()

    def _follow(self) -> None:
        """Tell the key that enters it."""
        key = key_of(self._action)
        self.setAccessibleName(", ".join(filter(None, (self.text(), key))))
        self.setToolTip(key)

    def sizeHint(self) -> QSize:
        """Return what the word takes in bold, so that choosing moves nothing."""
        wide = QFontMetricsF(font(14, bold=True)).horizontalAdvance(self.text())
        return QSize(round(wide) + 2 * _PAD, HEIGHT - _PROGRESS)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint bar, word and focus ring."""
        painter, tokens = QPainter(self), tokens_of(self)
        chosen = self.isChecked()
        face = font(14, bold=chosen)
        wide = QFontMetricsF(face).horizontalAdvance(self.text())
        left = (self.width() - wide) / 2
        if chosen:
            painter.fillRect(QRectF(left, 0, wide, 4), QColor(tokens.ink))
        painter.setFont(face)
        painter.setPen(QColor(tokens.ink if chosen or self.underMouse() else tokens.ink2))
        painter.drawText(QRectF(self.rect()), Qt.AlignmentFlag.AlignCenter, self.text())
        if self.hasFocus():
            painter.setPen(QPen(QColor(tokens.focus), 2))
            painter.drawRect(self.rect().adjusted(1, 9, -1, -9))


class MarkButton(QAbstractButton):
    """The mark of the program; its menu holds every action."""

    def __init__(self, action: QAction, *, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._action = action
        self.setFixedSize(30, HEIGHT - _PROGRESS)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        action.changed.connect(self._follow)
        self._follow()

    def _follow(self) -> None:
        """Tell the key that opens it."""
        said = ", ".join(filter(None, ("Menu", key_of(self._action))))
        self.setAccessibleName(said)
        self.setToolTip(said)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint a cone from the front: cap, cone, surround."""
        painter, tokens = QPainter(self), tokens_of(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle = QRectF(self.rect()).center()
        painter.setPen(QPen(QColor(tokens.focus if self.hasFocus() else tokens.ink), 1.5))
        for radius in (11.0, 7.5):
            painter.drawEllipse(middle, radius, radius)
        painter.setBrush(QColor(tokens.ink))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawEllipse(middle, 4.2, 4.2)


class BayRow(QWidget):
    """Mark, tabs, words, primary button; along its foot the one progress bar of the window.

    ``bay_asked`` names a bay; ``menu_asked`` wants the menu below the mark.
    """

    bay_asked = Signal(str)
    menu_asked = Signal()

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._progress: float | None = None
        self.setFixedHeight(HEIGHT)
        self.mark = MarkButton(actions.of("menu"), parent=self)
        self.mark.clicked.connect(self.menu_asked)
        self.words = BayWordsView(self)
        self.primary = KeyButton(actions.of("keys"), primary=True, parent=self)
        self.primary.setMinimumWidth(_PRIMARY)
        self.primary.hide()
        self._tabs = {name: BayTab(actions.of(f"bay.{name}"), parent=self) for name in BAYS}
        self._lay_out()

    def tab(self, name: str) -> BayTab:
        """Return a bay's tab."""
        return self._tabs[name]

    def choose(self, name: str) -> None:
        """Show which bay is entered."""
        self._tabs[name].setChecked(True)

    def set_words(self, words: BayWords, *, action: QAction | None = None) -> None:
        """Say what happened and offer what comes next; None keeps the last button, disabled."""
        self.words.set_words(words)
        self._set_primary(words, action)
        self._set_progress(words.progress)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the words where they are in every bay; in a narrow window, close to the tabs."""
        super().resizeEvent(event)
        taken = sum(tab.sizeHint().width() for tab in self._tabs.values()) + 12 + 30 + 3
        gap = _LEAST_GAP if self.width() < _NARROW else max(_LEAST_GAP, _WORDS_LEFT - taken)
        if gap != self._gap.sizeHint().width():
            self._gap.changeSize(gap, 0)
            self._row.invalidate()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint the progress along the foot."""
        painter, tokens = QPainter(self), tokens_of(self)
        painter.fillRect(self.rect(), QColor(tokens.paper))
        self._paint_progress(painter, tokens)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Left and Right go from tab to tab, as in any row of them."""
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()), 0)
        focused = [name for name, tab in self._tabs.items() if tab.hasFocus()]
        if not step or not focused:
            super().keyPressEvent(event)
            return
        there = BAYS[(BAYS.index(focused[0]) + step) % len(BAYS)]
        self._tabs[there].setFocus(Qt.FocusReason.TabFocusReason)
        self.bay_asked.emit(there)

    def _paint_progress(self, painter: QPainter, tokens: Tokens) -> None:
        if self._progress is None:
            return
        top = self.height() - _PROGRESS
        painter.fillRect(QRectF(0, top, self.width(), _PROGRESS), QColor(tokens.hair))
        done = self.width() * min(1.0, max(0.0, self._progress))
        painter.fillRect(QRectF(0, top, done, _PROGRESS), QColor(tokens.focus))

    def _set_primary(self, words: BayWords, action: QAction | None) -> None:
        if action is None:
            self.primary.setEnabled(False)
            return
        self.primary.set_action(action, key=words.key)
        self.primary.set_text(words.action_text)
        self.primary.show()

    def _set_progress(self, progress: float | None) -> None:
        if progress != self._progress:
            self._progress = progress
            self.update(0, self.height() - _PROGRESS, self.width(), _PROGRESS)

    def _lay_out(self) -> None:
        row = self._row = QHBoxLayout(self)
        row.setContentsMargins(12, 0, 16, _PROGRESS)
        row.setSpacing(0)
        row.addWidget(self.mark)
        row.addSpacing(3)
        for name, tab in self._tabs.items():
            tab.clicked.connect(lambda _=False, name=name: self.bay_asked.emit(name))
            row.addWidget(tab)
        self._gap = QSpacerItem(_LEAST_GAP, 0)
        row.addItem(self._gap)
        row.addWidget(self.words)
        row.addWidget(self.primary, alignment=Qt.AlignmentFlag.AlignVCenter)
