"""A dot a unit, by its margin: what conforms stands right of zero, what doesn't left of it."""

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.plots.dot_canvas import DotCanvas, DotScene
from app.desktop.plots.headed_plot import HeadedPlot
from app.desktop.plots.legend import HeadEntry, Swatch
from app.desktop.plots.lifted import Lifted
from dsp.arrays import Floats


class DotPlot(HeadedPlot):
    """Shows the margins of many units; a press or an arrow chooses one."""

    dot_pressed = Signal(str)  # key

    def __init__(self, title: str, unit: str, *, parent: QWidget | None = None) -> None:
        self.scene = DotScene()
        self.canvas = DotCanvas(self.scene)
        super().__init__(title, unit, canvas=self.canvas, parent=parent)
        self.canvas.dot_pressed.connect(self.dot_pressed)

    def set_units(self, margins: Floats, keys: Sequence[str]) -> None:
        """Show a dot for each margin, (n,); below 0 it doesn't conform, NaN is left out."""
        self.scene.set_units(margins, tuple(keys))
        fails, passes = self.scene.counts
        self.head.set_entries(
            [
                HeadEntry(
                    swatch=Swatch.DOT, name="does not conform", value=str(fails), colour="bad"
                ),
                HeadEntry(swatch=Swatch.DOT, name="conforms", value=str(passes), colour="ink2"),
            ]
        )
        self._told()

    def lift(self, lifted: Mapping[str, Lifted]) -> None:
        """Ring some units in the colour of their take, with a word above each."""
        self.scene.lifted = dict(lifted)
        self._told()

    def set_hint(self, text: str) -> None:
        """Say what will appear, as long as there is no unit."""
        self.scene.hint = text
        self.canvas.update()

    def readout_text(self) -> str:
        """Say in one line what is shown."""
        fails, passes = self.scene.counts
        return f"{self.title}: {fails} do not conform, {passes} conform"

    def table(self) -> str:
        """Return the margins as tab-separated text."""
        rows = [f"Unit\t{self.title}, {self.head.unit}"]
        rows += [
            f"{key}\t{margin:.6g}"
            for key, margin in zip(self.scene.keys, self.scene.margins, strict=True)
        ]
        return "\n".join(rows) + "\n"

    def _told(self) -> None:
        self.canvas.setAccessibleDescription(self.readout_text())
        self.canvas.redraw()
