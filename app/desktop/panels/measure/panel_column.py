"""A column of panels that scrolls only where the window is too low for all of them."""

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget


class PanelColumn(QScrollArea):
    """Panels from the top; as high as their words are at this width, and no higher."""

    def __init__(self, *, spacing: int = 0, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._inside, self._settled = QWidget(), -1
        self.lines = QVBoxLayout(self._inside)
        self.lines.setContentsMargins(0, 0, 0, 0)
        self.lines.setSpacing(spacing)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setWidget(self._inside)
        self._inside.installEventFilter(self)

    def wanted(self) -> int:
        """Return the height that the panels take at the full width, px."""
        # What was folded a moment ago still stands in the sizes that layouts keep.
        for place in range(self.lines.count()):
            item = self.lines.itemAt(place)
            panel = item.widget() if item is not None else None
            if panel is not None and (layout := panel.layout()) is not None:
                layout.invalidate()
                panel.updateGeometry()
        self.lines.invalidate()
        return self.lines.totalHeightForWidth(self.width())

    def fit(self) -> None:
        """Give the panels their height; a bar stands beside them only where they are cut."""
        high, wide = self.height(), self.width()
        scrolls = self.wanted() > high
        if scrolls:
            wide -= self.verticalScrollBar().sizeHint().width()
            high = self.lines.totalHeightForWidth(wide)
        policy = Qt.ScrollBarPolicy
        self.setVerticalScrollBarPolicy(
            policy.ScrollBarAlwaysOn if scrolls else policy.ScrollBarAlwaysOff
        )
        self._inside.resize(wide, high)
        self._settled = self.wanted()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fit anew."""
        super().resizeEvent(event)
        self.fit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Fit anew when a panel has more or less to say."""
        asked = watched is self._inside and event.type() == QEvent.Type.LayoutRequest
        # Folding asks for a new layout, too; so would ``wanted``, and for ever.
        if asked and self.lines.totalHeightForWidth(self.width()) != self._settled:
            self.fit()
        return super().eventFilter(watched, event)
