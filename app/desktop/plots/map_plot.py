"""A picture of levels over two axes of frequency: head with the ramp and readout, tiles below."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.plots.headed_plot import HeadedPlot
from app.desktop.plots.legend import HeadEntry, Swatch
from app.desktop.plots.level_map import LevelMap
from app.desktop.plots.map_canvas import MapCanvas, MapScene
from app.desktop.plots.x_range import XRange
from app.desktop.presenters.figures import hz_text, minus

_KEEP = 10


class MapPlot(HeadedPlot):
    """Shows a LevelMap; shares its axis of what was played with the plots below.

    Parameters
    ----------
    title, unit : str
        In the head.
    x_range : XRange
        What is seen of the axis.
    level_unit, level_re : str
        Short unit of the levels, and what they refer to.
    """

    cursor_moved = Signal(float)  # Hz played
    tile_pressed = Signal(float, float)  # Hz played, Hz heard

    def __init__(
        self,
        title: str,
        unit: str,
        *,
        x_range: XRange,
        level_unit: str = "dB",
        level_re: str = "",
        parent: QWidget | None = None,
    ) -> None:
        self.scene, self._level_unit, self._level_re = MapScene(), level_unit, level_re
        self.canvas = MapCanvas(self.scene, x_range)
        super().__init__(title, unit, canvas=self.canvas, parent=parent)
        self.canvas.cursor_moved.connect(self._moved)
        self.canvas.tile_pressed.connect(self.tile_pressed)

    @property
    def map(self) -> LevelMap | None:
        """What is shown."""
        return self.scene.map

    def set_map(self, shown: LevelMap | None) -> None:
        """Show another map; None: nothing yet."""
        self.scene.map = shown
        self._tell()
        self.canvas.redraw()

    def mark(self, hz: float | None) -> None:
        """Put the cursor to what was played; None takes it away."""
        self.scene.cursor_hz = hz
        self._tell()
        self.canvas.update()

    def readout_text(self) -> str:
        """Say in one line what stands at the cursor."""
        tile = self.scene.tile
        if tile is None:
            return self.title
        return (
            f"{self.title}: {self._level(tile.level)} in {hz_text(tile.y_hz)} "
            f"while {hz_text(tile.x_hz)} is played"
        )

    def table(self) -> str:
        """Return all tiles as tab-separated text, a row for each band that was heard."""
        shown = self.scene.map
        if shown is None:
            return ""
        head = "\t".join(["Heard, Hz", *(f"{hz:.4g} Hz" for hz in shown.x_hz)])
        rows = [
            "\t".join([f"{hz:.4g}", *(f"{level:.1f}" for level in levels)])
            for hz, levels in zip(shown.y_hz, shown.level, strict=True)
        ]
        return "\n".join([head, *rows]) + "\n"

    def _put_hint(self, hint: str) -> None:
        self.scene.hint = hint

    def _moved(self, played_hz: float, heard_hz: float) -> None:
        self.scene.heard_hz = heard_hz
        self.mark(played_hz)
        self.cursor_moved.emit(played_hz)

    def _tell(self) -> None:
        self.head.set_entries(self._entries())
        self.canvas.setAccessibleDescription(self.readout_text())

    def _entries(self) -> list[HeadEntry]:
        shown, tile = self.scene.map, self.scene.tile
        if shown is None:
            return []
        span = minus(f"{shown.low:.0f} to {shown.high:.0f} {self._level_unit} {self._level_re}")
        entries = [HeadEntry(swatch=Swatch.RAMP, name=span.rstrip(), keep=_KEEP)]
        if tile is not None:
            value = f"{self._level(tile.level)} at {hz_text(tile.y_hz)}"
            entries.insert(0, HeadEntry(swatch=Swatch.NONE, name="heard", value=value, keep=_KEEP))
        return entries

    def _level(self, level: float) -> str:
        return minus(f"{level:.0f} {self._level_unit}")
