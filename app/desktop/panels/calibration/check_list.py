"""What was looked at: a mark, a name and a whole sentence each, however long."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QGridLayout, QScrollArea, QWidget

from app.desktop.controls.glyph import Glyph
from app.desktop.controls.words import Ink, Words
from app.desktop.presenters.calibration_sheet import Looked

_GLYPH = 13
_NAME_PX = 104
_GAP_X, _GAP_Y = 8, 6


class CheckList(QScrollArea):
    """Paints checks; what does not fit scrolls."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.checks: tuple[Looked, ...] = ()
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("What was looked at")

    def set_checks(self, checks: Sequence[Looked]) -> None:
        """Show others."""
        if tuple(checks) == self.checks:
            return
        self.checks = tuple(checks)
        inside = QWidget()
        grid = QGridLayout(inside)
        grid.setContentsMargins(0, 4, 0, 4)
        grid.setHorizontalSpacing(_GAP_X)
        grid.setVerticalSpacing(_GAP_Y)
        grid.setColumnStretch(2, 1)
        grid.setColumnMinimumWidth(1, _NAME_PX)
        top = Qt.AlignmentFlag.AlignTop
        for row, check in enumerate(checks):
            grid.addWidget(Glyph(check.mark, size=_GLYPH), row, 0, top)
            grid.addWidget(Words(check.name, ink=Ink.LABEL), row, 1, top)
            grid.addWidget(Words(check.sentence, wraps=True), row, 2)
        grid.setRowStretch(len(checks), 1)
        self.setWidget(inside)
