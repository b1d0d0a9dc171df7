"""Geometry and gate: where the microphone stands, and where the response is cut."""

from functools import partial

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.controls.choice import Choice
from app.desktop.controls.field import Field
from app.desktop.controls.prose import Prose
from app.desktop.controls.words import Ink, Words
from app.desktop.panels.measure.headed import Headed
from app.desktop.plots.time_plot import TimePlot
from app.desktop.presenters.excitation import number_text
from app.desktop.presenters.measure_gate import GateState
from app.procedure.schema import Geometry

MOUNTINGS = (
    ("baffle", "on baffle"),
    ("box", "in a box"),
    ("near_field", "near field"),
    ("free", "free"),
)
_HEIGHTS = (98, 80, 52)  # px of the plot, where the window is high, low, and lowest
_MOUNTING_PX = 102
_ROW = 26


class GatePanel(QWidget):
    """Paints a GateState; asks for what a person types, chooses or drags."""

    typed = Signal(str, str)  # key of the geometry, text
    mounting_asked = Signal(str)
    gate_dragged = Signal(float)  # ms
    gate_released = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.mounting = Choice("Mounting", MOUNTINGS)
        self.mounting.setFixedWidth(_MOUNTING_PX)
        self.mounting.chosen.connect(self.mounting_asked)
        self.plot = TimePlot("Impulse response", "Pa/V", bare=True)
        self.plot.setFixedHeight(_HEIGHTS[0])
        self._follow(self.plot)
        self.gate = Field("Gate", unit="ms", placeholder="open", step=0.1)
        self.distance = Field("Distance to the microphone", unit="m", step=0.1)
        self.area = Field("Area of what it stands in front of", unit="cm²", placeholder="needed")
        self.edge = Field("Way to the baffle's edge", unit="m", placeholder="unknown", step=0.05)
        self.told = Prose()
        self._fields = {
            "gate_ms": self.gate,
            "distance_m": self.distance,
            "radiator_cm2": self.area,
            "baffle_edge_m": self.edge,
        }
        for key, field in self._fields.items():
            field.committed.connect(partial(self.typed.emit, key))
        self._plots = [self.plot]
        # What a mounting alone needs to have told.
        self._of_mounting = {"near_field": QWidget(), "baffle": QWidget()}
        self._of_mounting["near_field"].setLayout(_row(("Radiating area", self.area)))
        self._of_mounting["baffle"].setLayout(_row(("Way to its edge", self.edge)))
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(2)
        lines.addWidget(Headed("Geometry and gate", self.mounting))
        lines.addWidget(self.plot)
        lines.addSpacing(2)
        lines.addLayout(_row(("Gate", self.gate), ("at", self.distance)))
        for row in self._of_mounting.values():
            row.hide()
            lines.addWidget(row)
        lines.addSpacing(4)
        lines.addWidget(self.told)

    def share(self, plot: TimePlot) -> None:
        """Show the same on a larger plot, too, and take its gate for this one's."""
        self._plots.append(plot)
        self._follow(plot)

    def set_state(self, state: GateState, *, geometry: Geometry) -> None:
        """Show another gate, the response that it cuts, and what the mounting needs to have told.

        Parameters
        ----------
        state : GateState
            The gate.
        geometry : Geometry
            Of the procedure on the bench.
        """
        self.mounting.set_key(geometry.mounting)
        for mounting, row in self._of_mounting.items():
            row.setVisible(mounting == geometry.mounting)
        for key, field in self._fields.items():
            value = state.gate_ms if key == "gate_ms" else getattr(geometry, key)
            if not field.is_refused:
                field.set_text("" if value is None else number_text(value))
        for plot in self._plots:
            show_gate(plot, state)
        self.told.set_text(state.told)

    def refuse(self, key: str, sentence: str) -> None:
        """Say under a field why what was typed cannot stand."""
        self._fields[key].refuse(sentence)

    def accept(self, key: str) -> None:
        """Take a refusal back."""
        self._fields[key].accept()

    def forget_refusals(self) -> None:
        """Take back whatever was refused."""
        for key in self._fields:
            self.accept(key)

    def set_folded(self, *, folded: bool, lower: int) -> None:
        """Give height to what must not fold: no explanation, a plot lower by so many steps."""
        self.plot.setFixedHeight(_HEIGHTS[lower])
        self.told.setVisible(not folded)

    def _follow(self, plot: TimePlot) -> None:
        plot.gate_dragged.connect(lambda _, end: self.gate_dragged.emit(end))
        plot.gate_released.connect(lambda _, end: self.gate_released.emit(end))


def _row(*named: tuple[str, Field]) -> QHBoxLayout:
    line = QHBoxLayout()
    line.setContentsMargins(0, 0, 0, 0)
    line.setSpacing(8)
    for words, field in named:
        label = Words(words, ink=Ink.LABEL)
        label.setFixedHeight(_ROW)
        line.addWidget(label, 0, Qt.AlignmentFlag.AlignTop)
        line.addWidget(field, 1, Qt.AlignmentFlag.AlignTop)
    return line


def show_gate(plot: TimePlot, state: GateState) -> None:
    """Show a response and the gate on it; an open gate waits at the end, for a hand to take."""
    with QSignalBlocker(plot):
        plot.set_trace(state.t_ms, state.pa_per_v)
        plot.set_x(*state.span_ms)
        if state.gate_ms is not None:
            plot.set_gate(0.0, state.gate_ms)
        elif state.t_ms.size:
            plot.set_gate(0.0, state.span_ms[1], words="open")
        else:
            plot.set_gate(None)
