"""The three columns of a bay: what goes in, what is seen, what follows from it."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QStackedWidget, QVBoxLayout, QWidget

from app.desktop.controls.page_switch import PageSwitch

MARGIN = 16
GAP = 20
_TOP, _BOTTOM = 6, 12
_WIDE_FROM = 1600
_FOLDED_BELOW = 1180


class Columns(QWidget):
    """Left and right of a fixed width, the middle takes the rest.

    From 1600 px the outer columns widen once; below 1180 px the right one becomes a second page of
    the left one.

    Parameters
    ----------
    left, middle, right : QWidget
        The columns; ``right`` may be None.
    left_px, right_px : (int, int)
        Widths below and from 1600 px.
    pages : (str, str)
        What the two pages of the left column are called where they fold.
    """

    def __init__(
        self,
        left: QWidget,
        middle: QWidget,
        right: QWidget | None = None,
        *,
        left_px: tuple[int, int] = (252, 320),
        right_px: tuple[int, int] = (252, 336),
        pages: tuple[str, str] = ("Set up", "Result"),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._right = right
        self._left_px, self._right_px = left_px, right_px
        self._switch = PageSwitch(pages)
        self._switch.hide()
        self._pages = QStackedWidget()
        self._pages.addWidget(left)
        self._switch.turned.connect(self._pages.setCurrentIndex)
        self._left = QWidget()
        lines = QVBoxLayout(self._left)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(4)
        lines.addWidget(self._switch)
        lines.addWidget(self._pages, 1)
        for column in (self._left, middle, right):
            if column is not None:
                column.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Ignored)
        self._line = QHBoxLayout(self)
        self._line.setContentsMargins(MARGIN, _TOP, MARGIN, _BOTTOM)
        self._line.setSpacing(GAP)
        self._line.addWidget(self._left)
        self._line.addWidget(middle, 1)
        if right is not None:
            self._line.addWidget(right)
        self._fit(self.width())

    @property
    def is_folded(self) -> bool:
        """Whether the right column is a page of the left one."""
        return self._pages.count() > 1

    def show_page(self, number: int) -> None:
        """Turn to the first (0) or second (1) page where the columns are folded."""
        self._switch.turn(number)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fold or widen."""
        super().resizeEvent(event)
        self._fit(event.size().width())

    def _fit(self, width: int) -> None:
        wide = width >= _WIDE_FROM
        self._left.setFixedWidth(self._left_px[wide])
        if self._right is None:
            return
        folds = width < _FOLDED_BELOW
        if folds != self.is_folded:
            self._fold() if folds else self._unfold()
        if not folds:
            self._right.setFixedWidth(self._right_px[wide])

    def _fold(self) -> None:
        if self._right is not None:
            self._line.removeWidget(self._right)
            self._right.setMinimumWidth(0)
            self._pages.addWidget(self._right)
            self._switch.show()

    def _unfold(self) -> None:
        if self._right is not None:
            self._switch.turn(0)
            self._switch.hide()
            self._pages.removeWidget(self._right)
            self._line.addWidget(self._right)
            self._line.setAlignment(self._right, Qt.AlignmentFlag(0))
            self._right.show()
