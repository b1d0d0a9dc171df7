"""What was looked at: a mark, a name and a whole sentence each, however long."""

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QScrollArea, QSizePolicy, QWidget

from app.desktop.controls.glyph import Glyph
from app.desktop.controls.words import Ink, Words
from app.desktop.presenters.calibration_sheet import Looked

_GLYPH = 13
_NAME_PX = 104
_GAP_X, _GAP_Y = 8, 6
_FEWEST_PX = 78


class CheckList(QScrollArea):
    """Paints checks; as high as they are where there is room, what does not fit scrolls."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.checks: tuple[Looked, ...] = ()
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Maximum)
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
        self.setWidget(inside)
        inside.show()
        self._fit()
        self.updateGeometry()

    def sizeHint(self) -> QSize:
        """Return what all of them take in this width."""
        inside = self.widget()
        return QSize(320, self._height() if inside is not None else 0)

    def minimumSizeHint(self) -> QSize:
        """Return three lines: the others scroll."""
        return QSize(120, min(_FEWEST_PX, self.sizeHint().height()))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Wrap the sentences anew."""
        super().resizeEvent(event)
        self._fit()
        if event.size().width() != event.oldSize().width():
            self.updateGeometry()

    def _fit(self) -> None:
        inside = self.widget()
        if inside is not None:
            inside.setFixedSize(self.viewport().width(), self._height())

    def _height(self) -> int:
        inside = self.widget()
        grid = None if inside is None else inside.layout()
        # Of a grid without rows Qt says -1.
        return 0 if grid is None else max(0, grid.totalHeightForWidth(self.viewport().width()))
