"""The part of the frequency axis that is seen; plots of a stack share one."""

import math

from PySide6.QtCore import QObject, Signal

from app.desktop.plots.frame import Span

_LEAST = math.log10(2) / 6  # a sixth of an octave is as far in as it goes


class XRange(QObject):
    """A part of a whole, both in log10 of Hz; never leaves it."""

    changed = Signal()

    def __init__(
        self, low_hz: float = 20.0, high_hz: float = 20_000.0, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._whole = Span(low=math.log10(low_hz), high=math.log10(high_hz))
        self._seen = self._whole

    @property
    def seen(self) -> Span:
        """What is seen, log10 of Hz."""
        return self._seen

    @property
    def is_whole(self) -> bool:
        """Whether all of it is seen."""
        return self._seen == self._whole

    def set_whole(self, low_hz: float, high_hz: float) -> None:
        """Change the whole range, and show all of it."""
        self._whole = Span(low=math.log10(low_hz), high=math.log10(high_hz))
        self._show(self._whole)

    def show_whole(self) -> None:
        """Show all of it."""
        self._show(self._whole)

    def zoom(self, factor: float, *, about: float) -> None:
        """Show ``factor`` times as much; ``about`` (log10 of Hz) stays where it is."""
        factor = max(factor, _LEAST / self._seen.length)
        low = about + (self._seen.low - about) * factor
        self._fit(low, self._seen.length * factor)

    def pan(self, by: float) -> None:
        """Move what is seen along the axis, in decades."""
        self._fit(self._seen.low + by, self._seen.length)

    def _fit(self, low: float, length: float) -> None:
        length = min(length, self._whole.length)
        low = min(max(low, self._whole.low), self._whole.high - length)
        self._show(Span(low=low, high=low + length))

    def _show(self, seen: Span) -> None:
        if seen != self._seen:
            self._seen = seen
            self.changed.emit()
