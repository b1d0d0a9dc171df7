"""The left column of a ladder: how many levels, how far apart, and the key that plays them."""

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.actions import Actions
from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.measure.field_column import FieldColumn

_GAP = 8
_WHY = (
    "Parameters move with the level. The ladder tells up to where they hold, and what they are at "
    "no drive at all."
)


class LadderPanel(FieldColumn):
    """``typed`` (key, text) tells what stands in ``steps`` or ``step_db``."""

    typed = Signal(str, str)

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self.fields = {
            "steps": Field("Levels", text="5", step=1),
            "step_db": Field("Apart", unit="dB", text="6", step=1),
        }
        self.told = Prose()
        lines = self.lines
        lines.addWidget(SectionHead("Ladder of levels"))
        for key, label in (("steps", "Levels"), ("step_db", "Apart")):
            self.fields[key].committed.connect(partial(self.typed.emit, key))
            lines.addWidget(FieldRow(label, self.fields[key]))
        lines.addWidget(self.told)
        lines.addSpacing(_GAP)
        lines.addWidget(KeyButton(actions.of("ladder"), text="Measure the ladder"))
        lines.addSpacing(_GAP)
        lines.addWidget(Prose(_WHY))
        lines.addStretch(1)
