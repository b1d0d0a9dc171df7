"""The middle column of the defects: a picture of the residual, its curve, its level over time."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.panels.measure.page import Page
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.level_map import LevelMap
from app.desktop.plots.map_plot import MapPlot
from app.desktop.plots.moments_plot import MomentsPlot
from app.desktop.plots.stack import PlotStack
from app.desktop.presenters.defects_plots import OverTime
from app.desktop.presenters.measure_scene import PlotState

_APART = 6
_MAP, _CURVE, _TIME = 44, 31, 25  # parts of the height


class DefectsPage(Page):
    """One axis of what was played under picture and curve; one cursor through all three.

    ``cursor_moved`` (Hz) tells where a person looks in any of them.
    """

    copied_words = "Residual and impulses are on the clipboard as tables."
    cursor_moved = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        curve = FrequencyPlot("Irregular", "dB re fundamental", right_unit="%")
        stack = PlotStack((curve,), (1,))
        curve.scene.has_flag = False  # it stands in the picture above
        picture = MapPlot(
            "Residual",
            "Hz heard over Hz played",
            x_range=curve.canvas.x_range,
            level_re="re 20 µPa",
        )
        moments = MomentsPlot("Over time", "dB re 20 µPa, 5 ms")
        super().__init__(stack, others=(picture, moments), parent=parent)
        self.curve, self.picture, self.moments = curve, picture, moments
        stack.cursor_moved.connect(self._follow)
        for plot in (picture, moments):
            plot.cursor_moved.connect(self._moved)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(_APART)
        lines.addWidget(picture, _MAP)
        lines.addWidget(stack, _CURVE)
        lines.addWidget(moments, _TIME)

    def set_picture(self, shown: LevelMap | None, *, hint: str) -> None:
        """Show another picture of the residual."""
        self.picture.set_hint(hint)
        self.picture.set_map(shown)

    def set_curve(self, state: PlotState, *, span_hz: tuple[float, float]) -> None:
        """Show another curve; ``span_hz`` is the axis of what was played."""
        plot = self.curve
        self.stack.set_hz_range(*span_hz)
        plot.set_words(plot.title, state.unit)
        plot.set_hint(state.hint)
        low, high = state.y or (None, None)
        plot.set_y(low, high)
        plot.set_lines(state.lines)
        plot.set_masks(state.masks)
        valid = state.valid
        if valid is None:
            plot.set_valid(None, None)
        else:
            plot.set_valid(
                valid.low_hz, valid.high_hz, valid.low_reason, high_reason=valid.high_reason
            )

    def set_over_time(self, over: OverTime, *, hint: str) -> None:
        """Show other levels and impulses."""
        self.moments.set_hint(hint)
        self.moments.set_parts(over.parts, moments=over.moments, left_out=over.left_out)

    def set_cursor(self, hz: float | None, words: str = "") -> None:
        """Put the cursor to what was played in all of them."""
        super().set_cursor(hz, words)
        self._follow(hz)

    def _follow(self, hz: float | None) -> None:
        self.picture.mark(hz)
        self.moments.mark(hz)

    def _moved(self, hz: float) -> None:
        self.set_cursor(hz)
        self.stack.cursor_moved.emit(hz)
