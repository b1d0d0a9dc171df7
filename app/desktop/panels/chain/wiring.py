"""The wiring section: what is on which channel."""

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import QPoint, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.chain.channel_list import ChannelList
from app.desktop.panels.chain.wire_row import WireRow
from app.desktop.presenters.chain_wiring import ChannelLine, WiringRow


class WiringPanel(QWidget):
    """Paints WiringRows; a pressed one asks for its channels, a chosen channel for the change.

    ``opened`` (key of the row) is to be answered with ``show_channels``; ``channel_chosen`` carries
    the key and the channel, 0 for none.
    """

    opened = Signal(str)
    channel_chosen = Signal(str, int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows: dict[str, WireRow] = {}
        self.note = Prose()
        self.channels = ChannelList(self)
        self._open = ""
        self.channels.chosen.connect(self._choose)
        self._lines = QVBoxLayout(self)
        self._lines.setContentsMargins(0, 0, 0, 0)
        self._lines.setSpacing(0)
        self._lines.addWidget(SectionHead("Wiring", "channel"))
        self._lines.addWidget(self.note)

    @property
    def open_row(self) -> WiringRow | None:
        """The row whose channels are listed now."""
        shown = self.channels.isVisible() and self._open in self.rows
        return self.rows[self._open].row if shown else None

    def set_rows(self, rows: Sequence[WiringRow], *, note: str) -> None:
        """Show other wiring."""
        for at, row in enumerate(rows, start=1):
            if row.key in self.rows:
                self.rows[row.key].set_row(row)
                continue
            made = WireRow(row)
            made.clicked.connect(partial(self._ask, row.key))
            self.rows[row.key] = made
            self._lines.insertWidget(at, made)
        for key in self.rows.keys() - {row.key for row in rows}:
            gone = self.rows.pop(key)
            self._lines.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        self.note.set_text(note)
        self.note.setVisible(bool(note))

    def show_channels(self, lines: Sequence[ChannelLine]) -> None:
        """List channels under the row that asked, or change what they hear."""
        row = self.rows[self._open]
        is_open = self.channels.isVisible()
        self.channels.set_lines(lines, channel=row.row.channel)
        if not is_open:
            self.channels.open_at(row.mapToGlobal(QPoint(0, row.height())))

    def fold(self, *, folded: bool) -> None:
        """Leave the explanation out where height is short."""
        self.note.setVisible(bool(self.note.text()) and not folded)

    def _ask(self, key: str) -> None:
        self._open = key
        self.channels.clear()
        self.opened.emit(key)

    def _choose(self, channel: int) -> None:
        self.channel_chosen.emit(self._open, channel)
