"""One figure over the lots of the list: the plot, what it says, and which figure it is."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.controls.choice import Choice
from app.desktop.controls.glyph import Glyph
from app.desktop.controls.words import Ink, Words
from app.desktop.plots.legend import HeadEntry, Swatch
from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.trend_plot import TrendPlot
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.records_trend import TrendChoice, TrendState

_CHOICE = 190  # px
_LOWEST = 150


class TrendView(QWidget):
    """``take_pressed`` (id) tells which dot was gone to; ``figure_chosen`` the key of a figure."""

    take_pressed = Signal(str)
    figure_chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.plot = TrendPlot("Trend", "")
        self.plot.setMinimumHeight(_LOWEST)
        self.plot.point_pressed.connect(self.take_pressed)
        self.choice = Choice("Figure that is followed")
        self.choice.setFixedWidth(_CHOICE)
        self.choice.chosen.connect(self.figure_chosen)
        self._glyph = Glyph(Mark.INFO, size=14)
        self._note = Words(ink=Ink.LABEL, px=12, wraps=True)
        self._note.setAlignment(Qt.AlignmentFlag.AlignVCenter)
        foot = QHBoxLayout()
        foot.setContentsMargins(0, 4, 0, 0)
        foot.setSpacing(8)
        foot.addWidget(self._glyph, 0, Qt.AlignmentFlag.AlignVCenter)
        foot.addWidget(self._note, 1)
        foot.addWidget(self.choice)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(self.plot, 1)
        lines.addLayout(foot)

    @property
    def note(self) -> str:
        """What the trend says."""
        return self._note.text()

    def set_choices(self, choices: Sequence[TrendChoice], *, key: str) -> None:
        """Offer figures to follow."""
        self.choice.set_options([(one.key, one.text) for one in choices])
        self.choice.set_key(key)
        self.choice.setVisible(bool(choices))

    def set_trend(self, state: TrendState) -> None:
        """Show another trend."""
        self.plot.set_words(state.title, state.unit)
        self.plot.set_hint(state.hint)
        self.plot.set_groups(state.groups)
        self.plot.set_limits(state.limits)
        self.plot.set_points(state.points)
        self.plot.set_entries(_entries(state))
        self._note.set_text(state.note)
        self._glyph.setVisible(bool(state.note))

    def choose(self, take_id: str | None) -> None:
        """Ring the dot of a take."""
        self.plot.choose(take_id)


def _entries(state: TrendState) -> list[HeadEntry]:
    made = []
    if any(group.mean is not None for group in state.groups):
        mean = PlotLine(name="lot mean", x=[], y=[], role=LineRole.TAKE)  # type: ignore[arg-type]
        made.append(HeadEntry(swatch=Swatch.LINE, name="lot mean", line=mean, keep=1))
    if state.limits is not None:
        made.append(HeadEntry(swatch=Swatch.MASK, name="mask"))
    return made
