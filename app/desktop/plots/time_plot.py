"""A plot over time: an impulse response with its gate, or a level that settles."""

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.plots.frame import Span
from app.desktop.plots.headed_plot import HeadedPlot
from app.desktop.plots.legend import HeadEntry, Swatch
from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.time_canvas import TimeCanvas
from app.desktop.plots.time_marks import Box, Gate
from app.desktop.plots.time_scene import TimeScene
from dsp.arrays import Floats


class TimePlot(HeadedPlot):
    """Shows one trace over time.

    Parameters
    ----------
    title, unit : str
        In the head.
    x_unit : str
        ``ms`` or ``s``; behind the last word of the axis.
    bare : bool
        Without a head and without words at the value axis, for a narrow column.
    """

    gate_dragged = Signal(float, float)  # start, end, in x_unit
    gate_released = Signal(float, float)

    def __init__(
        self,
        title: str,
        unit: str,
        *,
        x_unit: str = "ms",
        bare: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        self.scene = TimeScene(x_unit=x_unit, is_bare=bare)
        self.canvas = TimeCanvas(self.scene)
        super().__init__(title, unit, canvas=self.canvas, parent=parent)
        self.head.setVisible(not bare)
        self.canvas.gate_dragged.connect(self._dragged)
        self.canvas.gate_released.connect(self.gate_released)

    @property
    def gate(self) -> tuple[float, float] | None:
        """Start and end of the gate as shown, in the unit of time."""
        gate = self.scene.gate
        return None if gate is None else (gate.start, gate.end)

    def set_trace(self, t: Floats, y: Floats, *, name: str = "", value: str = "") -> None:
        """Show a trace, (n,) each; ``name`` and ``value`` stand in the head."""
        self.scene.set_trace(np.asarray(t, dtype=np.float64), np.asarray(y, dtype=np.float64))
        line = PlotLine(name=name, x=np.empty(0), y=np.empty(0), role=LineRole.TAKE)
        entry = HeadEntry(swatch=Swatch.LINE, name=name, value=value, line=line)
        self.head.set_entries([entry] if name else [])
        self._told()

    def set_gate(self, start: float | None, end: float | None = None, *, words: str = "") -> None:
        """Show the gate from ``start`` to ``end``; None takes it away.

        ``words`` stand beside its handle until it is dragged; empty: how long it is.
        """
        if not self.canvas.is_dragging:
            self.scene.gate = None
            if start is not None and end is not None:
                self.scene.gate = Gate(start=start, end=end, words=words)
        self._told()

    def set_x(self, low: float | None = None, high: float | None = None) -> None:
        """Show this much of time; without values, what trace and gate need."""
        fixed = None if low is None or high is None else Span(low=low, high=high)
        self.scene.fixed_x = fixed
        self._told()

    def set_y(self, low: float | None = None, high: float | None = None) -> None:
        """Show this much of the value axis; without values, all there is."""
        fixed = None if low is None or high is None else Span(low=low, high=high)
        self.scene.fixed_y = fixed
        self._told()

    def set_boxes(self, boxes: Sequence[Box]) -> None:
        """Show spans of time and value that a trace must stay in."""
        self.scene.boxes = tuple(boxes)
        self._told()

    def set_now(self, t: float | None) -> None:
        """Draw an upright line at the present."""
        self.scene.now = t
        self.canvas.update()

    def readout_text(self) -> str:
        """Say in one line what is shown."""
        return ", ".join(part for part in (self.title, self.scene.gate_words) if part)

    def table(self) -> str:
        """Return the trace as tab-separated text."""
        scene = self.scene
        rows = [f"Time, {scene.x_unit}\t{self.title}"]
        rows += [f"{t:.6g}\t{y:.6g}" for t, y in zip(scene.t, scene.y, strict=True)]
        return "\n".join(rows) + "\n"

    def _put_hint(self, hint: str) -> None:
        self.scene.hint = hint

    def _dragged(self, start: float, end: float) -> None:
        self._told()
        self.gate_dragged.emit(start, end)

    def _told(self) -> None:
        self.canvas.setAccessibleDescription(self.readout_text())
        self.canvas.redraw()
