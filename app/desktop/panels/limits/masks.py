"""The list of masks: fails and the margin of the worst 5 %, one row a mask."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from app.desktop.controls.lines_table import Column, LineRow, LinesTable
from app.desktop.controls.section_head import SectionHead
from app.desktop.presenters.limits_masks import MaskRow

_FAILS, _MARGIN = 56, 88


class MasksPanel(QWidget):
    """Shows rows, tells which one a person chooses."""

    chosen = Signal(str)  # name of the mask

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._head = SectionHead("Masks")
        self.table = LinesTable(
            (
                Column(title=""),
                Column(title="fails", width=_FAILS, align="right"),
                Column(title="margin p5", width=_MARGIN, align="right"),
            ),
            name="Masks",
        )
        self.table.setToolTip("margin p5: the margin that 95 % of the units keep")
        self.table.chosen.connect(self.chosen)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(self._head)
        lines.addWidget(self.table)

    def set_rows(self, rows: Sequence[MaskRow], *, chosen: str | None) -> None:
        """Show other rows."""
        self._head.set_fact(str(len(rows)))
        self.table.set_rows(
            [LineRow(cells=(row.title, row.fails, row.margin), key=row.key) for row in rows]
        )
        self.table.choose(chosen)
