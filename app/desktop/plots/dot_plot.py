"""A dot a unit, by its margin: inside the limit right of zero, outside left of it."""

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.plots.dot_canvas import DotCanvas, DotScene
from app.desktop.plots.headed_plot import HeadedPlot
from app.desktop.plots.legend import HeadEntry, Swatch
from app.desktop.plots.lifted import Lifted
from dsp.arrays import Bools, Floats


class DotPlot(HeadedPlot):
    """Shows the margins of many units; a press or an arrow chooses one."""

    dot_pressed = Signal(str)  # key

    def __init__(self, title: str, unit: str, *, parent: QWidget | None = None) -> None:
        self.scene = DotScene()
        self.canvas = DotCanvas(self.scene)
        super().__init__(title, unit, canvas=self.canvas, parent=parent)
        self.canvas.dot_pressed.connect(self.dot_pressed)

    def set_units(
        self, margins: Floats, keys: Sequence[str], *, fails: Bools, conforms: Bools
    ) -> None:
        """Show a dot for each margin, (n,), coloured by its verdict; NaN is left out.

        Units that neither fail nor conform are not decided; they are counted only where there are
        some.
        """
        self.scene.set_units(margins, tuple(keys), fails=fails, conforms=conforms)
        failed, undecided, passed = map(str, self.scene.counts)
        entries = [
            HeadEntry(swatch=Swatch.DOT, name="does not conform", value=failed, colour="bad"),
            HeadEntry(swatch=Swatch.DIAMOND, name="not decided", value=undecided),
            HeadEntry(swatch=Swatch.DOT, name="conforms", value=passed, colour="ink2"),
        ]
        if undecided == "0":
            del entries[1]
        self.head.set_entries(entries)
        self._told()

    def lift(self, lifted: Mapping[str, Lifted]) -> None:
        """Ring some units in the colour of their take, with a word above each."""
        self.scene.lifted = dict(lifted)
        self._told()

    def readout_text(self) -> str:
        """Say in one line what is shown."""
        failed, undecided, passed = self.scene.counts
        open_ = f", {undecided} not decided" if undecided else ""
        return f"{self.title}: {failed} do not conform{open_}, {passed} conform"

    def table(self) -> str:
        """Return the margins as tab-separated text."""
        rows = [f"Unit\t{self.title}, {self.head.unit}"]
        rows += [
            f"{key}\t{margin:.6g}"
            for key, margin in zip(self.scene.keys, self.scene.margins, strict=True)
        ]
        return "\n".join(rows) + "\n"

    def _put_hint(self, hint: str) -> None:
        self.scene.hint = hint

    def _told(self) -> None:
        self.canvas.setAccessibleDescription(self.readout_text())
        self.canvas.redraw()
