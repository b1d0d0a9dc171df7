"""The middle column of the parameters: impedance with its model, what is left, and its locus."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from app.desktop.controls.lines_table import Column, LineRow, LinesTable
from app.desktop.panels.measure.page import Page
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.nyquist_plot import NyquistPlot
from app.desktop.plots.stack import PlotStack
from app.desktop.plots.table import table_of
from app.desktop.presenters.facts_text import tab_separated
from app.desktop.presenters.figures import Fact
from app.desktop.presenters.measure_scene import PlotState
from app.desktop.presenters.parameters_card import CandidateLine

_APART = 6
_IMPEDANCE, _LEFT = 60, 40  # parts of the height
_STACK, _BESIDE = 62, 38  # of the width
_SQUARE, _TRIED = 56, 44  # of the height beside
_COLUMNS = (
    Column(title="Circuits tried"),
    Column(title="criterion", width=78, align="right", quiet=True),
)


class FitPage(Page):
    """Plots over frequency at the left; at the right the locus, and which circuits were tried.

    ``cursor_moved`` (Hz) tells where a person looks in any of them.
    """

    copied_words = "Parameters and curves are on the clipboard as tables."
    cursor_moved = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        impedance = FrequencyPlot("Impedance", "Ω", right_unit="°")
        left_over = FrequencyPlot("Residual", "")
        left_over.show_bands(True)  # what noise may leave is what it is held against
        stack = PlotStack((impedance, left_over), (_IMPEDANCE, _LEFT))
        nyquist = NyquistPlot("Nyquist", "Ω")
        super().__init__(stack, others=(nyquist,), parent=parent)
        self.impedance, self.left_over, self.nyquist = impedance, left_over, nyquist
        self._facts: tuple[Fact, ...] = ()
        self.tried = LinesTable(_COLUMNS, name="Circuits tried")
        self.tried.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Expanding)
        stack.cursor_moved.connect(self.nyquist.mark)
        self.nyquist.cursor_moved.connect(self._moved)
        beside = QVBoxLayout()
        beside.setSpacing(_APART)
        beside.addWidget(self.nyquist, _SQUARE)
        beside.addWidget(self.tried, _TRIED)
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(2 * _APART)
        line.addWidget(stack, _STACK)
        line.addLayout(beside, _BESIDE)

    def show_plot(self, plot: FrequencyPlot, state: PlotState) -> None:
        """Show another impedance, or what is left of it."""
        plot.set_words(plot.title, state.unit)
        plot.set_hint(state.hint)
        low, high = state.y or (None, None)
        plot.set_y(low, high)
        plot.set_lines(state.lines)
        plot.head.set_mark(state.mark)

    def set_tried(self, lines: tuple[CandidateLine, ...]) -> None:
        """Show which circuits were tried; the chosen one is the chosen row."""
        self.tried.set_rows(
            [
                LineRow(cells=(one.words, one.criterion), key=one.words, note=one.note)
                for one in lines
            ]
        )
        self.tried.choose(next((one.words for one in lines if one.chosen), None))

    def set_facts(self, facts: tuple[Fact, ...]) -> None:
        """Hear which figures are copied with the curves."""
        self._facts = facts

    def set_cursor(self, hz: float | None, words: str = "") -> None:
        """Put the cursor to a frequency in all of them."""
        super().set_cursor(hz, words)
        self.nyquist.mark(hz)

    def table(self) -> str:
        """Return all curves as one tab-separated table."""
        return table_of([*self.stack.plots, self.nyquist])

    def copied(self) -> str:
        """Return the figures, an empty line, and all curves."""
        return f"{tab_separated(self._facts)}\n{self.table()}"

    def _moved(self, hz: float) -> None:
        self.stack.set_cursor(hz)
        self.stack.cursor_moved.emit(hz)
