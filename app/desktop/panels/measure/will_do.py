"""What the excitation will do, with its spectrum and its cautions."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.prose import Prose
from app.desktop.panels.measure.headed import Headed
from app.desktop.panels.measure.sentences import Sentences
from app.desktop.panels.measure.spectrum import Spectrum
from app.desktop.presenters.measure_will_do import WillDoState


class WillDoPanel(QWidget):
    """Paints a WillDoState."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.spectrum = Spectrum()
        self.facts = FactsTable("What this will do", words=True)
        self.cautions = Sentences()
        self.note = Prose()
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(2)
        lines.addWidget(Headed("What this will do", self.spectrum))
        for widget in (self.facts, self.cautions, self.note):
            lines.addWidget(widget)

    def set_folded(self, *, folded: bool) -> None:
        """Show what the sound levels stand on, or not."""
        self.note.setVisible(bool(self.note.text()) and not folded)

    def set_state(self, state: WillDoState) -> None:
        """Show other predictions."""
        self.spectrum.set_spectrum(state.spectrum)
        self.facts.set_facts(state.facts)
        self.cautions.say(state.said)
        self.cautions.setVisible(bool(state.said))
        self.note.set_text(state.note)
