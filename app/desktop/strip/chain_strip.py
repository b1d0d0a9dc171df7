"""The chain strip: a live drawing of the measuring chain, always on top, with Stop in it."""

from PySide6.QtCore import QRect, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop.palette import Tokens, tokens_of
from app.desktop.presenters.strip_state import LINKS, StripState
from app.desktop.strip.links import Pencil, Place, paint_folded, paint_wire, paint_words
from app.desktop.strip.paths import paint_paths
from app.desktop.strip.stop_button import WIDTH as STOP_WIDTH
from app.desktop.strip.stop_button import StopButton
from app.desktop.strip.tile_button import TileButton

HEIGHT, FOLDED_HEIGHT = 108, 48
_MARGIN = 16
_WIRE_ROW = 47  # px from the top: all that moves while a take plays
_SOUNDING_MS, _SILENT_MS = 33, 250  # between two repaints


class ChainStrip(QWidget):
    """Paints a ``StripState``; over each tile lies a button.

    ``link_pressed`` names the tile's link, ``stop_pressed`` wants silence.
    """

    link_pressed = Signal(str)
    stop_pressed = Signal()
    painted = Signal()  # once: from now on a person sees something

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state: StripState | None = None
        self._next: StripState | None = None
        self._is_folded = self._has_painted = False
        self._chosen: str | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self._beat = QTimer(self, singleShot=True)
        self._beat.timeout.connect(self._show_next)
        self.stop = StopButton(self)
        self.stop.clicked.connect(self.stop_pressed)
        self._tiles = {key: TileButton(self) for key in LINKS}
        for key, tile in self._tiles.items():
            tile.setObjectName(f"tile.{key}")
            tile.clicked.connect(lambda _=False, key=key: self.link_pressed.emit(key))
        self.set_folded(folded=False)

    @property
    def state(self) -> StripState | None:
        """What is shown."""
        return self._state

    @property
    def is_folded(self) -> bool:
        """Whether it is 48 px high."""
        return self._is_folded

    def tile(self, key: str) -> TileButton:
        """Return what lies over a link's tile."""
        return self._tiles[key]

    def set_state(self, state: StripState) -> None:
        """Show another state, no more often than anybody can see."""
        if self._state is None or state.without_levels() != self._state.without_levels():
            self._next = state
            self._show_next()
            return
        self._next = state
        if not self._beat.isActive():
            self._beat.start(_SOUNDING_MS if state.is_sounding else _SILENT_MS)

    def set_folded(self, *, folded: bool) -> None:
        """Take 48 px instead of 108."""
        self._is_folded = folded
        self.setFixedHeight(FOLDED_HEIGHT if folded else HEIGHT)
        self.stop.set_folded(folded=folded)
        self._lay_out()
        self.update()

    def set_chosen(self, key: str | None) -> None:
        """Show which link the bay below is about."""
        if key != self._chosen:
            self._chosen = key
            self.update()

    def sizeHint(self) -> QSize:
        """Return the height that it has now."""
        return QSize(1280, self.height())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: ARG002
        """Spread the tiles over the width."""
        self._lay_out()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint what the event asks for: while a take plays, the wire row alone."""
        painter, tokens = QPainter(self), tokens_of(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(event.rect(), QColor(tokens.deck))
        if not self._has_painted:
            self._has_painted = True
            self.painted.emit()
        if self._state is None:
            self._paint_foot(painter, tokens)
            return
        self._paint_chosen(painter, tokens)
        pencil, places = Pencil(painter=painter, tokens=tokens), self._places()
        for link in self._state.links:
            if self._is_folded:
                paint_folded(pencil, link, places[link.key])
                continue
            paint_wire(pencil, link, places[link.key])
            if event.rect().bottom() >= _WIRE_ROW:
                paint_words(pencil, link, places[link.key])
        if not self._is_folded:
            paint_paths(pencil, self._state, places)
        self._paint_foot(painter, tokens)

    def _paint_foot(self, painter: QPainter, tokens: Tokens) -> None:
        painter.fillRect(QRectF(0, self.height() - 1, self.width(), 1), QColor(tokens.edge))

    def _paint_chosen(self, painter: QPainter, tokens: Tokens) -> None:
        if self._chosen is None or self._is_folded:
            return
        place = self._places()[self._chosen]
        box = QRectF(place.left - 8, 0, place.width - 4, self.height() - 1)
        painter.fillRect(box, QColor(tokens.card))
        painter.fillRect(QRectF(box.left(), box.bottom() - 2, box.width(), 3), QColor(tokens.ink))

    def _show_next(self) -> None:
        self._beat.stop()
        state, before = self._next, self._state
        if state is None or state == before:
            return
        self._state = state
        self.stop.set_sounding(sounding=state.is_sounding)
        still = before is not None and state.without_levels() == before.without_levels()
        if still:
            self.update(QRect(0, 0, self.width(), _WIRE_ROW))
        else:
            self.update()
        for link in state.links:
            tile = self._tiles[link.key]
            tile.setAccessibleDescription(link.spoken_level)
            if not still:
                tile.setAccessibleName(link.spoken)
                tile.setToolTip(link.spoken)

    def _places(self) -> dict[str, Place]:
        # 1280 px give each tile 160.
        wide = (self.width() - STOP_WIDTH - 3 * _MARGIN) / len(LINKS)
        return {
            key: Place(left=round(_MARGIN + number * wide), width=round(wide))
            for number, key in enumerate(LINKS)
        }

    def _lay_out(self) -> None:
        self.stop.move(self.width() - STOP_WIDTH - _MARGIN, 6 if self._is_folded else 12)
        for key, place in self._places().items():
            self._tiles[key].setGeometry(
                int(place.left) - 8, 0, int(place.width) - 4, self.height() - 1
            )
