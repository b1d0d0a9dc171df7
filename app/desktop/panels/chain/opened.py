"""A kept calibration opened in the Chain bay: its three columns, and the way back."""

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QWidget

from app.desktop.actions import Actions
from app.desktop.controls.columns import Columns
from app.desktop.controls.key_button import KeyButton
from app.desktop.panels.calibration.sheet import SheetBudget, SheetFacts, SheetLooked
from app.desktop.presenters.calibration_sheet import SheetState


class Opened(QObject):
    """Shows one record; ``closed``: it was left."""

    closed = Signal()

    def __init__(self, actions: Actions, parent: QWidget) -> None:
        super().__init__(parent)
        self.facts, self.looked, self.follows = SheetFacts(), SheetLooked(), SheetBudget()
        buttons = self.follows.layout()
        assert buttons is not None  # it lays its parts out itself
        self._leave = actions.of("leave_calibration")
        buttons.addWidget(KeyButton(actions.of("certificate")))
        buttons.addWidget(KeyButton(self._leave, text="Back to the chain", key="Esc"))
        self.page = Columns(
            self.facts, self.looked, self.follows, pages=("Record", "Interval"), parent=parent
        )
        self.sheet: SheetState | None = None
        self._leave.triggered.connect(self.close)

    @property
    def is_open(self) -> bool:
        """Whether a record is shown."""
        return self.sheet is not None

    def open(self, sheet: SheetState) -> None:
        """Show a record."""
        self.sheet = sheet
        self.facts.set_sheet(sheet)
        self.looked.set_found(sheet.found)
        self.follows.set_found(sheet.found)
        self._leave.setVisible(True)

    @Slot()
    def close(self) -> None:
        """Go back."""
        if self.is_open:
            self.sheet = None
            self._leave.setVisible(False)
            self.closed.emit()
