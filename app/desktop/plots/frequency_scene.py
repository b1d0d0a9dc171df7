"""All that a plot over frequency shows, and where its axes lie."""

import math
from dataclasses import dataclass, field

import numpy as np
from PySide6.QtCore import QSizeF

from app.desktop.plots.drawn import Drawn, drawn
from app.desktop.plots.extrema import extrema
from app.desktop.plots.frame import Frame, Span
from app.desktop.plots.gap import Alike, alike
from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.mask import PlotMask
from app.desktop.plots.note import PlotNote
from app.desktop.plots.shade import PlotShade
from app.desktop.plots.spread import PlotSpread
from app.desktop.plots.valid import Validity
from app.desktop.plots.y_range import is_db, left_span, right_span
from app.desktop.presenters.figures import hz_text

LEFT, RIGHT, NO_RIGHT, TOP, BOTTOM, NO_WORDS = 44.0, 40.0, 16.0, 6.0, 24.0, 8.0  # px
_SEEN = 0.02  # of the value axis: the least turn that is an extremum
_JUDGED = {LineRole.TAKE, LineRole.OVERLAY, LineRole.THD}


@dataclass(slots=True, kw_only=True)
class FrequencyScene:
    """What is shown; changed by the plot, read by what paints it."""

    unit: str
    x_unit: str = "Hz"  # V: over the drive instead of frequency
    right_unit: str = ""
    is_per_cent: bool = False  # the left axis is in dB re 100 %, and written as per cent
    curves: tuple[Drawn, ...] = ()
    live: tuple[Drawn, ...] = ()
    masks: tuple[PlotMask, ...] = ()
    spread: PlotSpread | None = None
    own_validity: Validity | None = None
    hint: str = ""
    notes: tuple[PlotNote, ...] = ()
    shades: tuple[PlotShade, ...] = ()
    fixed_y: Span | None = None
    zoomed_y: Span | None = None  # by hand, over all else
    db_per_decade: float | None = None
    shows_bands: bool = True
    cursor_hz: float | None = None
    cursor_words: str = ""  # in the flag in place of the frequency
    has_flag: bool = True
    has_x_words: bool = True
    right_gutter: float | None = None  # px; None: as its own right axis needs
    lifted: str | None = None  # name of the curve under the pointer
    _auto_y: Span = field(init=False, default=Span(low=0.0, high=1.0))
    _right: Span | None = field(init=False, default=None)
    _judged: dict[tuple[str, ...] | None, tuple[Alike, ...]] = field(
        init=False, default_factory=dict
    )

    def set_lines(self, lines: tuple[PlotLine, ...]) -> None:
        """Show these curves and no others."""
        self.curves = self.prepared(lines)
        self.lifted = None
        self._judged.clear()

    def prepared(self, lines: tuple[PlotLine, ...]) -> tuple[Drawn, ...]:
        """Bring lines onto the axes."""
        right_unit = "%" if self.is_per_cent else self.right_unit
        return tuple(drawn(line, right_unit=right_unit) for line in lines)

    def fit_axes(self) -> None:
        """Work the spans of the value axes out again, after what they must hold has changed."""
        curves = (*self.curves, *self.live)
        self._auto_y = left_span(curves, masks=self.masks, spread=self.spread, unit=self.unit)
        self._right = right_span(curves, unit=self.right_unit, beside=self.unit)

    @property
    def is_outgrown(self) -> bool:
        """Whether a live curve has left the value axis that was worked out for it."""
        if self.fixed_y is not None:
            return False
        span = self._auto_y
        left = (curve.y for curve in self.live if not curve.right)
        return any(bool(np.any((y < span.low) | (y > span.high))) for y in left)

    def x_words(self, x: float) -> str:
        """Write a place of the axis, in its unit."""
        return hz_text(x) if self.x_unit == "Hz" else f"{x:.3g} {self.x_unit}"

    @property
    def wants_right_gutter(self) -> bool:
        """Whether it has a right axis."""
        return bool(self.right_unit)

    @property
    def validity(self) -> Validity:
        """Where the plot may be believed: as set, else as its chosen take says."""
        if self.own_validity is not None:
            return self.own_validity
        for curve in self.curves:
            line = curve.line
            if line.valid is not None and line.role in {LineRole.TAKE, LineRole.THD}:
                return Validity(
                    low=line.valid[0],
                    high=line.valid[1],
                    reason=line.reason,
                    high_reason=line.high_reason,
                )
        return Validity()

    def valid_log(self) -> tuple[float | None, float | None]:
        """Return where it may be believed as log10 of Hz."""
        validity = self.validity
        low, high = (hz and math.log10(hz) for hz in (validity.low, validity.high))
        return low, high

    def judged(self, mask: PlotMask) -> tuple[Alike, ...]:
        """Return the curves that are held against a mask, those on the same points together."""
        names = mask.broken_by
        if names not in self._judged:
            self._judged[names] = alike(
                curve
                for curve in self.curves
                if not curve.right
                and (curve.line.role in _JUDGED if names is None else curve.line.name in names)
            )
        return self._judged[names]

    def frame(self, size: QSizeF, x: Span) -> Frame:
        """Return where the axes lie in a widget of a size, px."""
        gutter = self.right_gutter
        if gutter is None:
            gutter = RIGHT if self.wants_right_gutter else NO_RIGHT
        width = max(size.width() - LEFT - gutter, 10.0)
        height = max(size.height() - TOP - (BOTTOM if self.has_x_words else NO_WORDS), 10.0)
        y = self._y_span(height=height, decade=width / x.length)
        return Frame(left=LEFT, top=TOP, width=width, height=height, x=x, y=y, right=self._right)

    def zoom_y(self, frame: Frame, factor: float, *, about: float) -> None:
        """Show ``factor`` times as much of the left axis; ``about`` stays where it is."""
        low = about + (frame.y.low - about) * factor
        self.zoomed_y = Span(low=low, high=low + frame.y.length * factor)

    def pan_y(self, by: float) -> bool:
        """Move along the left axis, only where it was zoomed; tell whether it was."""
        zoomed = self.zoomed_y
        if zoomed is None:
            return False
        self.zoomed_y = Span(low=zoomed.low + by, high=zoomed.high + by)
        return True

    def extremum(self, hz: float, *, direction: int, span: Span) -> float | None:
        """Return the next peak or dip of the first curve beside a frequency, Hz.

        ``span`` is the value axis as seen: what can't be seen on it is no extremum.
        """
        curve = next((c for c in self.curves if not c.right), None)
        if curve is None:
            return None
        places = curve.x[extrema(curve.y, least=_SEEN * span.length)]
        here, slack = math.log10(hz), 1e-6
        beyond = places[places > here + slack] if direction > 0 else places[places < here - slack]
        if not beyond.size:
            return None
        return float(10 ** (beyond[0] if direction > 0 else beyond[-1]))

    def _y_span(self, *, height: float, decade: float) -> Span:
        if self.zoomed_y is not None:
            return self.zoomed_y
        span = self.fixed_y or self._auto_y
        if self.db_per_decade is None or not is_db(self.unit):
            return span
        # IEC 60263: the length of a decade stands for so many dB; the middle stays.
        half = self.db_per_decade * height / decade / 2
        middle = (span.low + span.high) / 2
        return Span(low=middle - half, high=middle + half)
