"""A field: what is typed stays until it is accepted, and a refusal stands under it."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from app.desktop.controls.text_box import TextBox
from app.desktop.controls.words import Ink, Words
from app.desktop.presenters.stepped import stepped_text
from app.desktop.style_paint import REFUSED

HEIGHT = 26


class Field(QWidget):
    """One value that a person types.

    ``committed`` (the text) comes with Enter, with a step, and when the focus leaves a text that
    was changed; ``edited`` (the text) with every key.

    Parameters
    ----------
    name : str
        Its label, for those who hear it.
    unit : str
        Shown inside, at the right.
    text, placeholder : str
        What stands in it, or, in the third ink, while nothing does.
    numeric : bool
        Aligned to the right, and stepped by Up and Down (with Shift ten times as far).
    step : float or None
        What one step adds; None: no steps.
    height, px : int
        Of the box and of its type.
    told_below : bool
        Whether a refusal stands under it; where two share a row, the row tells it.
    """

    committed = Signal(str)
    edited = Signal(str)

    def __init__(
        self,
        name: str,
        *,
        unit: str = "",
        text: str = "",
        placeholder: str = "",
        numeric: bool = True,
        step: float | None = None,
        height: int = HEIGHT,
        px: float = 13,
        told_below: bool = True,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._name, self.step, self._told_below = name, step, told_below
        self._settled = text
        self._box = TextBox(unit=unit, numeric=numeric, px=px, parent=self)
        self._box.setFixedHeight(height)
        self._box.setText(text)
        self._box.setPlaceholderText(placeholder)
        self._box.steps = numeric and step is not None
        self._box.textEdited.connect(self._edit)
        self._box.returnPressed.connect(self._commit)
        self._box.editingFinished.connect(self._leave)
        self._box.stepped.connect(self._step)
        self._refusal = Words(ink=Ink.BAD, px=12, wraps=True)
        self._refusal.hide()
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(2)
        lines.addWidget(self._box)
        lines.addWidget(self._refusal)
        self.setFocusProxy(self._box)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._tell()

    @property
    def box(self) -> TextBox:
        """The box that is typed into."""
        return self._box

    @property
    def refusal(self) -> str:
        """Why the text was not accepted; empty where it was."""
        return self._refusal.text() if self.is_refused else ""

    @property
    def is_refused(self) -> bool:
        """Whether what stands in it was not accepted."""
        return bool(self._box.property(REFUSED))

    def text(self) -> str:
        """Return what stands in it."""
        return self._box.text()

    @property
    def is_being_typed(self) -> bool:
        """Whether a person is at it, and has not come to an end."""
        return self._box.hasFocus() and self._box.isModified() and self.text() != self._settled

    def set_text(self, text: str) -> None:
        """Put an accepted text in, and tell nobody; what a person is typing is left alone."""
        if self.is_being_typed:
            return
        self._settled = text
        self._box.setText(text)
        self.accept()

    def set_unit(self, unit: str) -> None:
        """Put another unit behind the text."""
        self._box.set_unit(unit)
        self._tell()

    def refuse(self, sentence: str) -> None:
        """Keep the text, and say under it what is wrong: what was given, what is allowed."""
        self._mark(sentence)

    def accept(self) -> None:
        """Take a refusal back."""
        self._mark("")

    def select_all(self) -> None:
        """Let the next key replace the whole text."""
        self._box.selectAll()

    def _mark(self, sentence: str) -> None:
        if (sentence, bool(sentence)) == (self._refusal.text(), self.is_refused):
            self._tell()  # nothing has to be laid out anew
            return
        self._refusal.set_text(sentence)
        self._refusal.setVisible(bool(sentence) and self._told_below)
        if self.is_refused != bool(sentence):
            self._box.setProperty(REFUSED, bool(sentence))
            self._box.update()
        self.updateGeometry()
        self._tell()

    def _edit(self, text: str) -> None:
        self._tell()
        self.edited.emit(text)

    def _commit(self) -> None:
        self._settled = self.text()
        self.committed.emit(self._settled)

    def _leave(self) -> None:
        if self.text() != self._settled:
            self._commit()

    def _step(self, steps: int) -> None:
        if self.step is None:
            return
        # While nothing stands in it, from what holds then.
        here = self.text() or self._box.placeholderText()
        text = stepped_text(here, step=self.step, steps=steps)
        if text is not None:
            self._box.setText(text)
            self._tell()
            self._commit()

    def _tell(self) -> None:
        parts = (self._name, self.text(), self._box.unit)
        self._box.setAccessibleName(" ".join(filter(None, parts)))
        self._box.setAccessibleDescription(self._refusal.text())
        self.setAccessibleName(self._box.accessibleName())
        self._box.setCursor(Qt.CursorShape.IBeamCursor)
