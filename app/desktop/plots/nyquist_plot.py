"""A plot of reactance over resistance: the impedance as it goes round with frequency."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.plots.headed_plot import HeadedPlot
from app.desktop.plots.legend import NOTHING, HeadEntry, Swatch
from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.locus import Locus
from app.desktop.plots.nyquist_canvas import NyquistCanvas
from app.desktop.plots.nyquist_scene import NyquistScene
from app.desktop.plots.table import table_of
from app.desktop.presenters.figures import minus

_KEEP_FIT, _KEEP_MEASURED = 1, 2


class NyquistPlot(HeadedPlot):
    """Shows loci with equal scales; the first is the one that the cursor runs along."""

    cursor_moved = Signal(float)  # Hz

    def __init__(self, title: str, unit: str = "Ω", *, parent: QWidget | None = None) -> None:
        self.scene = NyquistScene()
        self.canvas = NyquistCanvas(self.scene)
        super().__init__(title, unit, canvas=self.canvas, parent=parent)
        self.canvas.cursor_moved.connect(self._moved)

    @property
    def cursor_hz(self) -> float | None:
        """Where the cursor stands, Hz."""
        return self.scene.cursor_hz

    @property
    def lines(self) -> tuple[PlotLine, ...]:
        """All that is shown, as curves over frequency."""
        return tuple(line for locus in self.scene.loci for line in locus.lines())

    def unit_of(self, line: PlotLine) -> str:
        """Return the unit of one of them."""
        del line
        return self.head.unit

    def set_loci(self, loci: Sequence[Locus]) -> None:
        """Show these and no others."""
        self.scene.loci = tuple(loci)
        self._tell()
        self.canvas.redraw()

    def mark(self, hz: float | None) -> None:
        """Put the cursor to a frequency; None takes it away."""
        self.scene.cursor_hz = hz
        self._tell()
        self.canvas.update()

    def readout_text(self) -> str:
        """Say in one line what stands at the cursor."""
        told = [f"{entry.name} {entry.value}" for entry in self.head.entries if entry.value]
        return f"{self.title}: {', '.join(told)} {self.head.unit}" if told else self.title

    def table(self) -> str:
        """Return what is shown over frequency as tab-separated text."""
        return table_of([self])

    def _put_hint(self, hint: str) -> None:
        self.scene.hint = hint

    def _moved(self, hz: float) -> None:
        self.mark(hz)
        self.cursor_moved.emit(hz)

    def _tell(self) -> None:
        self.head.set_entries([self._entry(locus) for locus in self.scene.loci])
        self.canvas.setAccessibleDescription(self.readout_text())

    def _entry(self, locus: Locus) -> HeadEntry:
        role = LineRole.TAKE if locus.take else LineRole.REFERENCE
        at = locus.at(self.scene.cursor_hz)
        there = NOTHING if at is None else minus(f"{at.real:.2f} {at.imag:+.2f}j")
        return HeadEntry(
            swatch=Swatch.DOT if locus.dots else Swatch.LINE,
            name=locus.name,
            value="" if self.scene.cursor_hz is None else there,
            keep=_KEEP_MEASURED if locus.dots else _KEEP_FIT,
            line=PlotLine(
                name=locus.name, x=locus.hz[:0], y=locus.hz[:0], role=role, take=locus.take
            ),
        )
