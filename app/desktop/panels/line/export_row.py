"""Whether each take is also written to a folder, and to which."""

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.controls.check import Check
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.words import Ink, Words


class ExportRow(QWidget):
    """A tick, a folder, and under them how the last export went.

    ``chosen`` (Path or None) tells where takes are to be written from now on; None: nowhere.
    """

    chosen = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._folder: Path | None = None
        self.check = Check("Export each take")
        self.check.clicked.connect(self._toggle)
        choose = QAction("Folder…", self)
        choose.triggered.connect(self._ask)
        self.folder_button = KeyButton(choose)
        self._told = Words(ink=Ink.QUIET, px=12, wraps=True)
        line = QHBoxLayout()
        line.setContentsMargins(0, 0, 0, 0)
        line.addWidget(self.check, 1)
        line.addWidget(self.folder_button, 0, Qt.AlignmentFlag.AlignRight)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 2, 0, 2)
        lines.setSpacing(2)
        lines.addLayout(line)
        lines.addWidget(self._told)
        self._told.hide()

    @property
    def told(self) -> str:
        """What stands under the tick."""
        return self._told.text()

    def set_folder(self, folder: Path | None, *, is_on: bool) -> None:
        """Show where takes go."""
        self._folder = folder
        self.check.setChecked(is_on)
        self.tell(f"To {folder}, as CSV and JSON." if is_on and folder else "")

    def tell(self, sentence: str, *, refused: bool = False) -> None:
        """Say how it went."""
        self._told.set_ink(Ink.BAD if refused else Ink.QUIET)
        self._told.set_text(sentence)
        self._told.setVisible(bool(sentence))

    def _toggle(self) -> None:
        if not self.check.isChecked():
            self.chosen.emit(None)
        elif self._folder is None:
            self._ask()
        else:
            self.chosen.emit(self._folder)

    def _ask(self) -> None:
        start = str(self._folder or Path.home())
        chosen = QFileDialog.getExistingDirectory(self, "Export each take to", start)
        if chosen:
            self._folder = Path(chosen)
            self.chosen.emit(self._folder)
        elif self._folder is None:
            self.check.setChecked(False)
