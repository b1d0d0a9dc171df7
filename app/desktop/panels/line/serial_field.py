"""The serial field: filled by a scanner, or by a person who types the last digits."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetricsF, QResizeEvent
from PySide6.QtWidgets import QWidget

from app.desktop.controls.field import Field
from app.desktop.controls.words import Ink, Words
from app.desktop.fonts import font
from app.desktop.presenters.line_serial import SerialHint, completed

_HEIGHT = 52
_PX = 28
_PAD = 12


class SerialField(Field):
    """52 px high; what serials begin with stands in it in the third ink while it may be left out.

    ``committed`` carries what was typed; ``serial`` is what was meant.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Serial", numeric=False, height=_HEIGHT, px=_PX, parent=parent)
        self._hint = SerialHint()
        self._prefix = Words(ink=Ink.QUIET, px=_PX, parent=self.box)
        self._prefix.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self._prefix.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        self.box.textChanged.connect(self._follow)
        self.box.setMaxLength(200)  # a scanner gone wild
        self._follow()

    @property
    def serial(self) -> str:
        """What was meant by what stands in it."""
        return completed(self.text(), hint=self._hint)

    @property
    def hint(self) -> SerialHint:
        """What serials begin with, and how many digits follow."""
        return self._hint

    def set_hint(self, hint: SerialHint) -> None:
        """Let these digits alone be enough."""
        self._hint = hint
        self._follow()

    def clear(self) -> None:
        """Be empty for the next scan, whatever is being typed."""
        self.box.setText("")
        self.set_text("")

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the prefix in the box."""
        super().resizeEvent(event)
        self._follow()

    def _follow(self) -> None:
        shown = self._hint.shows_for(self.text())
        prefix = self._hint.prefix if shown else ""
        wide = round(QFontMetricsF(font(_PX)).horizontalAdvance(prefix))
        self._prefix.setText(prefix)
        # Two px less: a line edit keeps them before its first letter.
        self._prefix.setGeometry(_PAD + 2, 0, wide + 2, _HEIGHT)
        self._prefix.setVisible(bool(prefix))
        self.box.setTextMargins(_PAD + wide, 0, _PAD, 0)
