"""The left column: masks, the chosen point or another tool in its place, revisions."""

from collections.abc import Callable, Iterator
from enum import Enum

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QLineEdit, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.panels.limits.gauge import GaugePanel
from app.desktop.panels.limits.masks import MasksPanel
from app.desktop.panels.limits.new_mask import NewMaskPanel
from app.desktop.panels.limits.offset import OffsetPanel
from app.desktop.panels.limits.point import PointPanel
from app.desktop.panels.limits.points_table import PointsTable
from app.desktop.panels.limits.propose import ProposePanel
from app.desktop.panels.limits.reference import ReferencePanel
from app.desktop.panels.limits.revisions import RevisionsPanel
from app.desktop.panels.limits.weigh import WeighPanel

_GAP = 8
_LOWEST, _LOW, _HIGH = 500, 600, 840  # px
_ENTER = {Qt.Key.Key_Return, Qt.Key.Key_Enter}


class Tool(Enum):
    """What stands below the masks."""

    POINT = "the chosen point as numbers"
    TABLE = "all points as a table"
    OFFSET = "moving the mask as a whole"
    PROPOSE = "limits that follow from units"
    NEW = "a mask that was not there"
    WEIGH = "escapes against false rejects"
    GAUGE = "what of the spread is the gauge's own"
    REFERENCE = "the unit that others are compared with"


class LeftColumn(QWidget):
    """Shows one tool at a time; ``pointed`` comes when a tool is done and the plot may go on.

    It is empty until ``fill`` is through.
    """

    pointed = Signal()
    turned = Signal(object)  # Tool: another one stands there

    def fill(self, actions: Actions) -> Iterator[None]:
        """Make the tools; yields where others may have the window's thread."""
        self.masks, self.point = MasksPanel(), PointPanel(actions)
        yield
        self.points, self.offset = PointsTable(), OffsetPanel()
        yield
        self.propose, self.new_mask = ProposePanel(), NewMaskPanel()
        yield
        self.weigh, self.gauge = WeighPanel(), GaugePanel()
        yield
        self.reference, self.revisions = ReferencePanel(), RevisionsPanel()
        self._tool, self._is_high = Tool.POINT, False
        self._seen: tuple[Tool, bool] | None = None
        self._tools: dict[Tool, QWidget] = {
            Tool.POINT: self.point,
            Tool.TABLE: self.points,
            Tool.OFFSET: self.offset,
            Tool.PROPOSE: self.propose,
            Tool.NEW: self.new_mask,
            Tool.WEIGH: self.weigh,
            Tool.GAUGE: self.gauge,
            Tool.REFERENCE: self.reference,
        }
        # In a field Enter does this by itself; here it comes from a choice, a tick or a table.
        self._on_enter: dict[Tool, Callable[[], None]] = {
            Tool.OFFSET: self.offset.apply,
            Tool.PROPOSE: self.propose.apply,
            Tool.NEW: self.new_mask.apply,
            Tool.WEIGH: self.weigh.apply,
            Tool.GAUGE: self.gauge.take,
            Tool.REFERENCE: self.reference.take,
        }
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(_GAP)
        lines.addWidget(self.masks)
        for tool, widget in self._tools.items():
            lines.addWidget(widget, 0 if tool is Tool.POINT else 1)
        lines.addWidget(self.revisions)
        lines.addStretch(0)
        for one in (self.offset, self.propose, self.new_mask, self.weigh, self.gauge):
            one.left.connect(self.show_point)
        self.reference.left.connect(self.show_point)
        self.show_tool(Tool.POINT)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fold what has a key of its own where the window is low; show all points in a high one."""
        super().resizeEvent(event)
        height = event.size().height()
        self.point.fold(folded=height < _LOW, risks_too=height < _LOWEST)
        self._is_high = height >= _HIGH
        self.show_tool(self._tool)

    @property
    def tool(self) -> Tool:
        """Which one stands there."""
        return self._tool

    def show_tool(self, tool: Tool) -> None:
        """Put another one there."""
        is_other, self._tool = tool is not self._tool, tool
        with_table = self._is_high and tool is Tool.POINT and bool(self.points.rows)
        if (tool, with_table) != self._seen:  # asked at every step of a hand that drags a point
            self._seen = (tool, with_table)
            for one, widget in self._tools.items():
                widget.setVisible(one is tool)
            self.points.setVisible(tool is Tool.TABLE or with_table)
            self.revisions.setVisible(tool is Tool.POINT)
        if is_other:
            self.turned.emit(tool)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Leave a tool with Esc, have it do its work with Enter."""
        if event.key() == Qt.Key.Key_Escape and self._tool is not Tool.POINT:
            self.show_point()
        elif event.key() in _ENTER and self._tool in self._on_enter and not _is_typing():
            self._on_enter[self._tool]()
        else:
            super().keyPressEvent(event)

    def show_point(self) -> None:
        """Put the chosen point back."""
        self.show_tool(Tool.POINT)
        self.pointed.emit()


def _is_typing() -> bool:
    return isinstance(QApplication.focusWidget(), QLineEdit)
