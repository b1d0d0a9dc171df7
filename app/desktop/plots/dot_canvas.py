"""The area of a dot plot: dots pile up in columns; too many for its height, and they shrink."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, QSizeF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter
from PySide6.QtWidgets import QWidget

from app.desktop.palette import Tokens
from app.desktop.plots.canvas import Canvas
from app.desktop.plots.dots import paint_diamonds, paint_dots
from app.desktop.plots.frame import Frame, Span
from app.desktop.plots.frequency_scene import BOTTOM, LEFT, NO_RIGHT, TOP
from app.desktop.plots.grid import write_x_words
from app.desktop.plots.hint import write_hint
from app.desktop.plots.lifted import Lifted
from app.desktop.plots.pens import ink_pen, tinted
from app.desktop.plots.ticks import round_step, value_ticks
from app.desktop.plots.write import Anchor, width_of, write
from app.desktop.presenters.figures import minus
from dsp.arrays import Bools, Floats, Ints

_COLUMN, _WIDE_COLUMN, _FEW = 6.0, 9.0, 60  # px from dot to dot; wide with fewer units
_DOT = 0.8  # of a column: how wide a dot is
_LEAST = 1.0  # px from dot to dot
_PX_A_WORD = 70.0
_HEAD_ROOM = 30.0  # px over the piles, for the words
_RING = 5.0
_BESIDE = 6.0  # px from the zero line to the words beside it
_LEAST_SIDE = 0.2  # of what the margins span: room for its words
_MANY, _BULK, _FAR = 20, (5, 95), 1.0  # units; %; spans of the bulk: beyond, a unit is far off
_WORTH = 0.5  # of the whole span: where leaving those out saves less, they stay where they are
_NOTHING = 1e-9  # of any unit: margins that differ by less don't differ


Places = tuple[Floats, Floats, float]


@dataclass(slots=True, kw_only=True)
class DotScene:
    """What is shown; changed by the plot, read by what paints it.

    Attributes
    ----------
    margins : (units,) array
        Distance to the limit, positive inside; NaN: that unit has no dot.
    fails, conforms : (units,) bool array
        By verdict, which a guard band may leave open; neither: not decided.
    keys : tuple of str
        What each stands for.
    lifted : mapping of key to Lifted
        Those that stand out.
    hint : str
        Said while there is no unit.
    """

    margins: Floats = field(default_factory=lambda: np.empty(0))
    fails: Bools = field(default_factory=lambda: np.empty(0, dtype=np.bool_))
    conforms: Bools = field(default_factory=lambda: np.empty(0, dtype=np.bool_))
    keys: tuple[str, ...] = ()
    lifted: Mapping[str, Lifted] = field(default_factory=dict)
    hint: str = ""
    _axis: Span | None = field(default=None, init=False, repr=False)
    _placed: tuple[Frame, Places] | None = field(default=None, init=False, repr=False)

    def set_units(
        self, margins: Floats, keys: tuple[str, ...], *, fails: Bools, conforms: Bools
    ) -> None:
        """Show others."""
        margins = np.asarray(margins, dtype=np.float64)
        shapes = {margins.shape, fails.shape, conforms.shape}
        if shapes != {(len(keys),)}:
            raise ValueError(f"dots: shapes differ: given {shapes} and {len(keys)} keys")
        self.margins, self.keys = margins, keys
        self.fails, self.conforms = fails, conforms
        self._axis = self._placed = None

    @property
    def undecided(self) -> Bools:
        """Those that neither conform nor don't, (units,)."""
        return ~(self.fails | self.conforms)

    @property
    def column(self) -> float:
        """How far apart columns of dots lie, px."""
        return _WIDE_COLUMN if len(self.keys) < _FEW else _COLUMN

    @property
    def counts(self) -> tuple[int, int, int]:
        """How many don't conform, how many are not decided, and how many conform."""
        return int(self.fails.sum()), int(self.undecided.sum()), int(self.conforms.sum())

    @property
    def without_margin(self) -> int:
        """How many are counted that have no dot."""
        return int(np.isnan(self.margins).sum())

    def lifted_indices(self) -> list[int]:
        """Return which units stand out, from the left."""
        found = [self.keys.index(key) for key in self.lifted if key in self.keys]
        return sorted(found, key=lambda index: self.margins[index])

    def frame(self, size: QSizeF) -> Frame:
        """Return where the axis lies in a widget of a size, px; y counts dots' pixels."""
        width = max(size.width() - LEFT - NO_RIGHT, 10.0)
        height = max(size.height() - TOP - BOTTOM, 10.0)
        y = Span(low=0.0, high=height)
        if self._axis is None:
            self._axis = self._x_span()
        return Frame(left=LEFT, top=TOP, width=width, height=height, x=self._axis, y=y)

    def places(self, frame: Frame) -> Places:
        """Return px of each dot's middle, (n,) each, and how far apart they lie; NaN: no dot."""
        if self._placed is None or self._placed[0] != frame:
            self._placed = (frame, self._places(frame))
        return self._placed[1]

    def _places(self, frame: Frame) -> Places:
        x = frame.px(np.clip(self.margins, frame.x.low, frame.x.high))
        # Columns are counted from zero, so that none holds units of both kinds; nor does rounding
        # carry a unit that is out by a hair to the other side.
        width = self.column
        column = np.floor((x - frame.px_of(0.0)) / width)
        is_out = self.margins < 0
        column = np.where(is_out, np.minimum(column, -1), np.maximum(column, 0))
        level, tallest = _levels(column)
        room = frame.height - _HEAD_ROOM
        pitch = max(_LEAST, min(width, room / max(tallest, 1)))
        across = frame.px_of(0.0) + (column + 0.5) * width
        return across, frame.bottom - (level + 0.5) * pitch, pitch

    def far_off(self, frame: Frame) -> tuple[Floats, Floats]:
        """Return the margins left and right of the axis; they pile up at its ends."""
        margins = self.margins
        return margins[margins < frame.x.low], margins[margins > frame.x.high]

    def _x_span(self) -> Span:
        known = self.margins[np.isfinite(self.margins)]
        if not known.size:
            return Span(low=-1.0, high=1.0)
        low, high = _without_far_off(known)
        length = high - low if high - low > _NOTHING else 1.0
        step = round_step(length, most=8)
        # Both sides of zero are seen and named, however one-sided the units are.
        low = math.floor(min(low - 0.02 * length, -_LEAST_SIDE * length) / step) * step
        return Span(low=low, high=max(math.ceil((high + 0.02 * length) / step) * step, step))


class DotCanvas(Canvas):
    """Paints a DotScene; tells which dot was pressed."""

    dot_pressed = Signal(str)

    def __init__(self, scene: DotScene, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.scene = scene
        self._at: int | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumHeight(60)

    def paint_still(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint the axis and the dots."""
        scene, frame = self.scene, self.scene.frame(size)
        zero = frame.px_of(0.0)
        painter.fillRect(
            QRectF(frame.left, frame.top, zero - frame.left, frame.height),
            tinted(tokens.ink, 0.045),
        )
        ticks = value_ticks(frame.x, most=max(2.0, min(8.0, frame.width / _PX_A_WORD)))
        write_x_words(painter, frame, ticks, tokens=tokens)
        painter.setPen(ink_pen(tokens.edge))
        bottom = round(frame.bottom) + 0.5
        painter.drawLine(QLineF(frame.left, bottom, frame.right_edge, bottom))
        x, y, pitch = scene.places(frame)
        across, there = pitch * _DOT, np.isfinite(x)
        for kind, colour in ((scene.fails, tokens.bad), (scene.conforms, tokens.ink2)):
            seen = kind & there
            paint_dots(painter, x[seen], y[seen], across=across, colour=colour, of=x.size)
        seen = scene.undecided & there
        paint_diamonds(painter, x[seen], y[seen], across=across, tokens=tokens, of=x.size)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(ink_pen(tokens.ink, width=2))
        painter.drawLine(QLineF(zero, frame.top, zero, frame.bottom))
        self._write_sides(painter, frame, zero=zero, tokens=tokens)
        self._write_far_off(painter, frame, tokens=tokens)

    def paint_moving(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint the units that stand out."""
        scene, frame = self.scene, self.scene.frame(size)
        if scene.hint and not scene.keys:
            write_hint(painter, frame, scene.hint, masks=(), tokens=tokens)
        x, y, _ = scene.places(frame)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        written: list[QRectF] = []
        for index in scene.lifted_indices():
            if not np.isfinite(x[index]):
                continue
            lifted, at = scene.lifted[scene.keys[index]], QPointF(x[index], y[index])
            painter.setPen(ink_pen(tokens.takes[(lifted.take - 1) % 4], width=2))
            painter.setBrush(QColor(_colour(scene, index, tokens)))
            painter.drawEllipse(at, _RING, _RING)
            half = width_of(lifted.word, bold=True) / 2
            box = QRectF(at.x() - half, at.y() - 20, 2 * half, 12)
            while any(box.intersects(other) for other in written):
                box.translate(0, -12)
            written.append(box)
            word = lifted.word
            write(painter, box.center(), word, colour=tokens.ink, bold=True, anchor=Anchor.MIDDLE)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Tell which dot it was."""
        frame, at = self.scene.frame(QSizeF(self.size())), event.position()
        x, y, pitch = self.scene.places(frame)
        away = np.hypot(x - at.x(), y - at.y())
        if away.size and not np.isnan(away).all():
            index = int(np.nanargmin(away))
            if away[index] <= max(pitch, self.scene.column):
                self._choose(index)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go from dot to dot in the order of margins."""
        direction = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        order = self._order()
        if direction is None or not order.size:
            super().keyPressEvent(event)
            return
        here = np.flatnonzero(order == self._at)
        at = int(here[0]) + direction if here.size else 0
        self._choose(int(order[min(max(at, 0), order.size - 1)]))

    def _order(self) -> Ints:
        margins = self.scene.margins
        order = np.argsort(margins, kind="stable")
        return order[np.isfinite(margins[order])]

    def _choose(self, index: int) -> None:
        self._at = index
        self.dot_pressed.emit(self.scene.keys[index])

    def _write_far_off(self, painter: QPainter, frame: Frame, *, tokens: Tokens) -> None:
        """Say at an end of the axis how many units pile up there, and how far off they are."""
        below, above = self.scene.far_off(frame)
        y = frame.top + 34
        for beyond, most, x, anchor in (
            (below, np.min, frame.left + 6, Anchor.LEFT),
            (above, np.max, frame.right_edge - 6, Anchor.RIGHT),
        ):
            if beyond.size:
                words = minus(f"{beyond.size} further off, to {most(beyond):+.3g}")
                write(painter, QPointF(x, y), words, colour=tokens.ink2, px=12, anchor=anchor)
        if self.scene.without_margin:
            at = QPointF(frame.right_edge - 6, frame.top + 14)
            words = f"{self.scene.without_margin} have no margin: no dot"
            write(painter, at, words, colour=tokens.ink2, px=12, anchor=Anchor.RIGHT)

    def _write_sides(self, painter: QPainter, frame: Frame, *, zero: float, tokens: Tokens) -> None:
        y = frame.top + 14
        # A guard band leaves units open on either side: then zero parts no verdicts.
        is_open = bool(self.scene.undecided.any())
        for words, dx, anchor in (
            ("outside" if is_open else "does not conform", -_BESIDE, Anchor.RIGHT),
            ("inside the limit" if is_open else "conforms", _BESIDE, Anchor.LEFT),
        ):
            write(painter, QPointF(zero + dx, y), words, colour=tokens.ink2, px=12, anchor=anchor)


def _colour(scene: DotScene, index: int, tokens: Tokens) -> str:
    if scene.fails[index]:
        return tokens.bad
    return tokens.ink2 if scene.conforms[index] else tokens.att


def _without_far_off(known: Floats) -> tuple[float, float]:
    """Return what the axis must hold: zero and all margins, but for few that are far off."""
    low, high = min(float(known.min()), 0.0), max(float(known.max()), 0.0)
    if known.size < _MANY:
        return low, high
    first, last = (float(one) for one in np.percentile(known, _BULK))
    bulk = max(last, 0.0) - min(first, 0.0)
    near_low = max(low, min(first, 0.0) - _FAR * bulk)
    near_high = min(high, max(last, 0.0) + _FAR * bulk)
    if near_high - near_low > _WORTH * (high - low):
        return low, high
    return near_low, near_high


def _levels(column: Floats) -> tuple[Floats, int]:
    """Return how high each dot lies on its column, (n,), and the tallest pile."""
    level = np.full(column.shape, np.nan)
    known = np.flatnonzero(np.isfinite(column))
    if not known.size:
        return level, 0
    # Of whole numbers below 2**15 in a tenth of the time.
    order = known[np.argsort(column[known].astype(np.int16), kind="stable")]
    starts = np.flatnonzero(np.diff(column[order], prepend=-np.inf))
    sizes = np.diff(np.append(starts, order.size))
    level[order] = np.arange(order.size) - np.repeat(starts, sizes)
    return level, int(sizes.max())
