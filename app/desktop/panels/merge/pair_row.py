"""Two fields in one row, with what is refused under both, over the whole width."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from app.desktop.controls.field import Field
from app.desktop.controls.words import Ink, Words

_LABEL_PX, _SECOND_PX, _HEIGHT, _APART = 46, 40, 26, 6


class PairRow(QWidget):
    """Label and field, twice; the fields are made with ``told_below=False``."""

    def __init__(
        self, named: Sequence[tuple[str, Field]], *, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._fields = tuple(field for _, field in named)
        self._refusal = Words(ink=Ink.BAD, px=12, wraps=True)
        self._refusal.hide()
        pair = QHBoxLayout()
        pair.setSpacing(_APART)
        for place, (words, field) in enumerate(named):
            label = Words(words, ink=Ink.LABEL)
            label.setFixedSize(_SECOND_PX if place else _LABEL_PX, _HEIGHT)
            label.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
            label.setBuddy(field)
            pair.addWidget(label)
            pair.addWidget(field, 1)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 2, 0, 2)
        lines.setSpacing(2)
        lines.addLayout(pair)
        lines.addWidget(self._refusal)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def tell(self) -> None:
        """Say under the row what its fields refuse."""
        refusals = [field.refusal for field in self._fields if field.is_refused]
        self._refusal.set_text(" ".join(refusals))
        self._refusal.setVisible(bool(refusals))
        self.updateGeometry()
