"""The calibrations of a store: found at the left, listed, the chosen one opened beside."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.columns import Columns
from app.desktop.controls.field import Field
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.lines_table import Column, LineRow, LinesTable
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.calibration.sheet import SheetBudget, SheetFacts, SheetLooked
from app.desktop.panels.records.counts_list import CountsList
from app.desktop.presenters.calibration_sheet import SheetState
from app.desktop.presenters.records_calibrations import CalibrationsQuery, CalibrationsState

_GAP = 10
_TABLE, _SHEET = 4, 5
_LEFT_PX, _RIGHT_PX = (204, 272), (284, 336)
_HOW = (
    "Parts of a link, a day, an instrument, its serial or certificate, an operator, a chain, a "
    "note; several words must all fit."
)


class CalibrationsPage(QWidget):
    """Paints a CalibrationsState and a SheetState; signals say what a person asks for."""

    text_edited = Signal(str)
    link_chosen = Signal(str)
    standing_chosen = Signal(str)
    chosen = Signal(str)

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.field = Field("Find", numeric=False, placeholder="link, day, instrument")
        self.links, self.standings = CountsList("Links", grows=True), CountsList("Standing")
        self.state: CalibrationsState | None = None
        self._head = SectionHead("Find")
        self.table = LinesTable(
            (
                Column(title="Made, UTC", width=166),
                Column(title="Is", width=72),
                Column(title="Link", quiet=True),
                Column(title="Value", width=158),
                Column(title="Change", width=82, align="right"),
                Column(title="By", width=64, quiet=True),
            ),
            name="Calibrations",
        )
        self.looked, self.facts, self.budget = SheetLooked(), SheetFacts(), SheetBudget()
        self.columns = Columns(
            self._left(actions),
            self._middle(),
            self._right(actions),
            left_px=_LEFT_PX,
            right_px=_RIGHT_PX,
            pages=("Find", "Record"),
        )
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(self.columns)
        self.field.edited.connect(self.text_edited)
        self.field.committed.connect(lambda _: self.table.setFocus())
        self.links.filtered.connect(self.link_chosen)
        self.standings.filtered.connect(self.standing_chosen)
        self.table.chosen.connect(self.chosen)

    def set_state(self, state: CalibrationsState, *, query: CalibrationsQuery) -> None:
        """Show another list."""
        self.state = state
        self._head.set_fact(state.told)
        self.links.set_rows(state.links, key=query.link)
        self.standings.set_rows(state.standings, key=query.standing)
        self.table.set_rows(
            [
                LineRow(
                    cells=(row.made, row.standing, row.link, row.value, row.change, row.by),
                    key=row.key,
                    mark=row.mark,
                    note=row.note,
                )
                for row in state.rows
            ]
        )

    def set_sheet(self, sheet: SheetState | None) -> None:
        """Open another record; None: none is chosen."""
        self.facts.set_sheet(sheet)
        found = None if sheet is None else sheet.found
        self.looked.set_found(found, none=("no calibration is chosen", "choose one above"))
        self.budget.set_found(found)

    def _left(self, actions: Actions) -> QWidget:
        left = QWidget()
        lines = QVBoxLayout(left)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(self._head)
        lines.addSpacing(5)
        lines.addWidget(self.field)
        lines.addSpacing(_GAP)
        for title, counts in (("Link", self.links), ("Is", self.standings)):
            lines.addWidget(SectionHead(title))
            lines.addWidget(counts)
            lines.addSpacing(_GAP)
        lines.addWidget(Prose(_HOW))
        lines.addStretch(1)
        lines.addWidget(KeyButton(actions.of("calibrations"), text="Back to takes"))
        return left

    def _middle(self) -> QWidget:
        middle = QWidget()
        lines = QVBoxLayout(middle)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(8)
        lines.addWidget(self.table, _TABLE)
        lines.addWidget(self.looked, _SHEET)
        return middle

    def _right(self, actions: Actions) -> QWidget:
        inside = QWidget()
        lines = QVBoxLayout(inside)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(8)
        lines.addWidget(self.facts)
        lines.addWidget(self.budget)
        lines.addStretch(1)
        area = QScrollArea()
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setWidget(inside)
        right = QWidget()
        outside = QVBoxLayout(right)
        outside.setContentsMargins(0, 0, 0, 0)
        outside.setSpacing(8)
        outside.addWidget(area, 1)
        outside.addWidget(KeyButton(actions.of("certificate")))
        return right
