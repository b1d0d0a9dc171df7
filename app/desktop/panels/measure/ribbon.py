"""The ribbon of takes along the foot of the bay."""

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.panels.measure.tile import HEIGHT, WIDTH, TakeTile
from app.desktop.presenters.measure_ribbon import RibbonState

_HEAD = 104
_STEP = WIDTH + 8
_MORE = 88
_NONE = "No take yet. The first one appears here as soon as it is judged."
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


class Ribbon(QWidget):
    """As many takes as there is room for, the newest first, and how many there are besides."""

    show_asked = Signal(str)  # take id
    overlay_asked = Signal(str)
    more_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = RibbonState(tiles=(), count=0)
        self._tiles: list[TakeTile] = []
        self.setAccessibleName("Takes")
        self.setFixedHeight(HEIGHT)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    @property
    def state(self) -> RibbonState:
        """What it shows."""
        return self._state

    @property
    def tiles(self) -> tuple[TakeTile, ...]:
        """The tiles that there is room for."""
        return tuple(tile for tile in self._tiles if not tile.isHidden())

    def set_state(self, state: RibbonState) -> None:
        """Show other takes."""
        self._state = state
        self._fit()

    def sizeHint(self) -> QSize:
        """Return the height of a tile."""
        return QSize(_HEAD + 4 * _STEP, HEIGHT)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Show as many as fit."""
        super().resizeEvent(event)
        self._fit()

    def mousePressEvent(self, event: object) -> None:
        """Ask for the rest, where it is told of."""
        position = getattr(event, "position", None)
        if position is not None and self._hidden and position().x() > self.width() - _MORE:
            self.more_asked.emit()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint what stands beside the tiles."""
        painter, tokens = QPainter(self), tokens_of(self)
        painter.setFont(font(13, bold=True))
        painter.setPen(QColor(tokens.ink))
        painter.drawText(QRectF(0, 7, _HEAD, 19), _LEFT, "Takes")
        painter.setFont(font(12))
        painter.setPen(QColor(tokens.ink2))
        painter.drawText(QRectF(0, 27, _HEAD, 18), _LEFT, "overlay: 1 to 4")
        if not self._state.tiles:
            painter.drawText(QRectF(_HEAD, 16, self.width() - _HEAD, 18), _LEFT, _NONE)
        elif self._hidden:
            line = QRectF(self.width() - _MORE, 16, _MORE, 18)
            painter.drawText(line, _RIGHT, f"+{self._hidden} more")

    @property
    def _hidden(self) -> int:
        return self._state.count - len(self.tiles)

    def _fit(self) -> None:
        room = max(0, (self.width() - _HEAD - _MORE + 8) // _STEP)
        shown = self._state.tiles[:room]
        while len(self._tiles) < len(shown):
            self._add()
        for number, tile in enumerate(self._tiles):
            tile.setVisible(number < len(shown))
            if number < len(shown):
                tile.set_tile(shown[number])
                tile.move(_HEAD + number * _STEP, 0)
        self.update()

    def _add(self) -> None:
        tile = TakeTile(self)
        tile.show_asked.connect(self.show_asked)
        tile.overlay_asked.connect(self.overlay_asked)
        self._tiles.append(tile)
