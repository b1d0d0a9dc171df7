"""The curve that decided, with its mask; or the number, with its limits."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.section_head import SectionHead
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.presenters.line_why import WhyState, no_why


class Why(QWidget):
    """Paints a WhyState: a plot with its number below, or the number alone."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.head = SectionHead("", ruled=False)
        self.plot = FrequencyPlot("Why", "")
        self.facts = FactsTable("What decided")
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(4)
        lines.addWidget(self.head)
        lines.addWidget(self.plot, 1)
        lines.addWidget(self.facts)
        lines.addStretch()
        self.set_state(no_why())

    def set_state(self, state: WhyState) -> None:
        """Show something else."""
        alone = bool(state.facts) and not state.lines
        self.head.setVisible(alone)
        self.head.set_title(state.title)
        self.plot.setVisible(not alone)
        self.facts.set_facts(state.facts)
        self.facts.setVisible(bool(state.facts))
        self.plot.set_words(state.title, state.unit)
        self.plot.set_hz_range(*state.span_hz)
        self.plot.set_y(*state.span or (None, None))
        self.plot.set_hint(state.hint)
        self.plot.set_lines(state.lines)
        self.plot.set_masks(state.masks)
        self.plot.mark(state.mark_hz, state.mark_words)
        self.plot.show_whole()
