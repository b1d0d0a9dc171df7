"""A plot over a linear axis, such as shares over an offset."""

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.plots.headed_plot import HeadedPlot
from app.desktop.plots.legend import HeadEntry, Swatch
from app.desktop.plots.line import PlotLine
from app.desktop.plots.span_canvas import SpanCanvas, SpanScene
from app.desktop.plots.span_place import Place


class SpanPlot(HeadedPlot):
    """Shows curves over one axis; a press tells where, ``pressed_at``."""

    pressed_at = Signal(float)

    def __init__(self, title: str, unit: str, *, parent: QWidget | None = None) -> None:
        self.scene = SpanScene()
        self.canvas = SpanCanvas(self.scene)
        super().__init__(title, unit, canvas=self.canvas, parent=parent)
        self.canvas.pressed_at.connect(self.pressed_at)

    def set_lines(self, lines: Sequence[PlotLine], *, places: Sequence[Place]) -> None:
        """Show these curves, and these places of the axis."""
        self.scene.lines, self.scene.places = tuple(lines), tuple(places)
        self._tell()

    def mark(self, x: float | None) -> None:
        """Put the cursor there."""
        self.scene.at = x
        self._tell()

    def readout_text(self) -> str:
        """Say in one line what stands at the cursor."""
        at = self.scene.at
        if at is None or not self.scene.lines:
            return self.title
        read = ", ".join(f"{line.name} {_read(line, at)}" for line in self.scene.lines)
        return f"{self.title} at {at:+.2f}: {read}"

    def table(self) -> str:
        """Return the curves as tab-separated text."""
        lines = self.scene.lines
        if not lines:
            return ""
        head = "\t".join(["x", *(f"{line.name}, {line.unit}" for line in lines)])
        rows = zip(lines[0].x, *(line.y for line in lines), strict=True)
        return "\n".join([head, *("\t".join(f"{v:.6g}" for v in row) for row in rows)]) + "\n"

    def _put_hint(self, hint: str) -> None:
        self.scene.hint = hint

    def _tell(self) -> None:
        at = self.scene.at
        self.head.set_entries(
            [
                HeadEntry(
                    swatch=Swatch.LINE,
                    name=line.name,
                    value="" if at is None else _read(line, at),
                    line=line,
                )
                for line in self.scene.lines
            ]
        )
        self.canvas.setAccessibleDescription(self.readout_text())
        self.canvas.redraw()


def _read(line: PlotLine, at: float) -> str:
    value = float(np.interp(at, line.x, line.y))
    return f"{value:.{line.decimals}f} {line.unit}".rstrip()
