"""One of several, each with a key of its own."""

from collections.abc import Sequence

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QSizePolicy, QWidget

from app.desktop.controls.field import HEIGHT
from app.desktop.fonts import font

_SHOWN = 16  # rows of the open list
_NARROWEST = 6  # characters


class Choice(QComboBox):
    """A drop-down list; ``chosen`` (the key) comes only from a person.

    Parameters
    ----------
    name : str
        Its label, for those who hear it.
    options : sequence of (key, text)
        In the order shown.
    """

    chosen = Signal(str)

    def __init__(
        self, name: str, options: Sequence[tuple[str, str]] = (), *, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._name = name
        self.setFont(font(13))
        self.setFixedHeight(HEIGHT)
        self.setMaxVisibleItems(_SHOWN)
        self.setMinimumContentsLength(_NARROWEST)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.activated.connect(self._choose)
        self.currentIndexChanged.connect(self._tell)
        self.set_options(options)

    def key(self) -> str:
        """Return the key of what is chosen; empty where there is nothing to choose from."""
        return str(self.currentData() or "")

    def set_key(self, key: str) -> None:
        """Choose, and tell nobody; a key that is not among the options leaves none chosen."""
        with QSignalBlocker(self):
            self.setCurrentIndex(self.findData(key))
        self._tell()

    def set_options(self, options: Sequence[tuple[str, str]]) -> None:
        """Offer others; what is chosen stays so if it is still among them."""
        before = self.key()
        if [(self.itemData(at), self.itemText(at)) for at in range(self.count())] != list(options):
            with QSignalBlocker(self):
                self.clear()
                for key, text in options:
                    self.addItem(text, key)
                self.setCurrentIndex(max(0, self.findData(before)) if options else -1)
        self._tell()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to what scrolls: a value must not change in passing."""
        event.ignore()

    def _choose(self) -> None:
        self._tell()
        self.chosen.emit(self.key())

    def _tell(self) -> None:
        self.setAccessibleName(f"{self._name} {self.currentText()}".strip())
        self.setToolTip(self.currentText())
