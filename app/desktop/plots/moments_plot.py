"""A plot over the time of a take: a level part by part, and moments that can be pressed."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.plots.headed_plot import HeadedPlot
from app.desktop.plots.legend import HeadEntry, Swatch
from app.desktop.plots.moments import Moment, MomentKind, Part
from app.desktop.plots.moments_canvas import MomentsCanvas, MomentsScene


class MomentsPlot(HeadedPlot):
    """Shows parts and moments; the chosen moment has a ring."""

    cursor_moved = Signal(float)  # Hz played
    moment_pressed = Signal(int)
    time_pressed = Signal(float)  # s

    def __init__(self, title: str, unit: str, *, parent: QWidget | None = None) -> None:
        self.scene = MomentsScene()
        self.canvas = MomentsCanvas(self.scene)
        super().__init__(title, unit, canvas=self.canvas, parent=parent)
        self.canvas.cursor_moved.connect(self.cursor_moved)
        self.canvas.moment_pressed.connect(self.moment_pressed)
        self.canvas.time_pressed.connect(self.time_pressed)

    @property
    def moments(self) -> tuple[Moment, ...]:
        """What stands out."""
        return self.scene.moments

    def set_parts(
        self,
        parts: Sequence[Part],
        *,
        moments: Sequence[Moment] = (),
        left_out: Sequence[tuple[float, float]] = (),
    ) -> None:
        """Show other levels; ``left_out`` (from, to; s) is shaded."""
        self.scene.parts, self.scene.moments = tuple(parts), tuple(moments)
        self.scene.left_out, self.scene.chosen = tuple(left_out), None
        self._tell()
        self.canvas.redraw()

    def choose(self, index: int | None) -> None:
        """Put the ring about a moment."""
        self.scene.chosen = index
        self.canvas.update()

    def mark(self, hz: float | None) -> None:
        """Show when a frequency was played; None takes it away."""
        self.scene.cursor_hz = hz
        self.canvas.update()

    def readout_text(self) -> str:
        """Say in one line what is shown."""
        told = ", ".join(f"{entry.name} {entry.value}".strip() for entry in self.head.entries)
        return f"{self.title}: {told}" if told else self.title

    def table(self) -> str:
        """Return the moments as tab-separated text, and after an empty line the levels."""
        rows = ["Time, s\tLevel, dB\tKind"]
        rows += [
            f"{one.time_s:.4f}\t{one.level:.1f}\t{one.kind.name.lower()}"
            for one in self.scene.moments
        ]
        rows += ["", "Time, s\tPlayed, Hz\tLevel, dB"]
        for part in self.scene.parts:
            rows += [
                f"{time_s:.4f}\t{hz:.4g}\t{level:.1f}"
                for time_s, hz, level in zip(part.time_s, part.drive_hz, part.level, strict=True)
            ]
        return "\n".join(rows) + "\n"

    def _put_hint(self, hint: str) -> None:
        self.scene.hint = hint

    def _tell(self) -> None:
        kinds = [one.kind for one in self.scene.moments]
        entries = [
            HeadEntry(swatch=Swatch.DOT, name=name, value=str(kinds.count(kind)), colour=colour)
            for kind, name, colour in (
                (MomentKind.CLICK, "clicks", "ink"),
                (MomentKind.RINGING, "ringing", "edge"),
            )
            if kind in kinds
        ]
        if self.scene.left_out:
            entries.append(HeadEntry(swatch=Swatch.AREA, name="left out"))
        self.head.set_entries(entries)
        self.canvas.setAccessibleDescription(self.readout_text())
