"""The line above a plot: title, unit, and the legend that is also the readout."""

from collections.abc import Sequence

from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop import glyphs
from app.desktop.palette import Tokens, tokens_of
from app.desktop.plots.dots import paint_diamond
from app.desktop.plots.legend import NOTHING, HeadEntry, Swatch, fitting, lost_a_figure
from app.desktop.plots.pens import colour_of, dashed_pen, ink_pen, line_pen, tinted
from app.desktop.plots.ramp import ramp
from app.desktop.plots.write import width_of, write
from app.desktop.presenters.mark import Mark

HEIGHT = 24
_SWATCH, _GAP, _APART = 18.0, 6.0, 16.0  # px
_SWATCHES = {Swatch.DOT: 9.0, Swatch.DIAMOND: 9.0, Swatch.RAMP: 72.0, Swatch.NONE: 0.0}  # px
_MIDDLE = HEIGHT / 2


class PlotHead(QWidget):
    """Paints entries; fed by the cursor, so that a move of the mouse repaints 24 px."""

    def __init__(self, title: str, unit: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.title, self.unit = title, unit
        self._entries: tuple[HeadEntry, ...] = ()
        # Room for the widest figure yet: entries stand still while the cursor moves.
        self._room: dict[str, float] = {}
        self._mark: Mark | None = None
        self.setFixedHeight(HEIGHT)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    @property
    def entries(self) -> tuple[HeadEntry, ...]:
        """What it says, dropped ones included."""
        return self._entries

    @property
    def mark(self) -> Mark | None:
        """The mark before the title."""
        return self._mark

    def set_words(self, title: str, unit: str) -> None:
        """Change title and unit."""
        if (title, unit) != (self.title, self.unit):
            self.title, self.unit = title, unit
            self.update()

    def set_entries(self, made: Sequence[HeadEntry]) -> None:
        """Say something else."""
        if tuple(made) == self._entries:
            return
        if [entry.name for entry in made] != [entry.name for entry in self._entries]:
            self._room = {}
        self._entries = tuple(made)
        for entry in made:
            width = width_of(entry.value, px=12, bold=True)
            self._room[entry.name] = max(self._room.get(entry.name, 0.0), width)
        self.update()

    def set_mark(self, mark: Mark | None) -> None:
        """Put a mark before the title, such as the one of a stale link."""
        self._mark = mark
        self.update()

    def minimumSizeHint(self) -> QSize:
        """Return room for the title."""
        return QSize(round(width_of(self.title, px=13, bold=True)) + 24, HEIGHT)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint it."""
        del event
        painter = QPainter(self)
        self.paint_on(painter, width=self.width(), tokens=tokens_of(self))
        painter.end()

    def paint_on(self, painter: QPainter, *, width: float, tokens: Tokens) -> None:
        """Paint it from the origin of any painter, ``width`` px wide."""
        x = 0.0
        if self._mark is not None:
            glyphs.paint(painter, self._mark, QRectF(0, 5, 14, 14), tokens=tokens)
            x = 20.0
        x += 10 + write(
            painter, QPointF(x, _MIDDLE), self.title, colour=tokens.ink, px=13, bold=True
        )
        widths = [_width(entry, room=self._room[entry.name]) for entry in self._entries]
        unit = width_of(self.unit, px=12)
        kept = fitting(self._entries, widths=widths, room=width - x)
        beside_unit = fitting(self._entries, widths=widths, room=width - x - unit)
        fits = x + unit <= width
        if fits and not lost_a_figure(self._entries, kept, beside_unit):
            kept = beside_unit
            write(painter, QPointF(x, _MIDDLE), self.unit, colour=tokens.ink3, px=12)
        at = width - sum(widths[index] for index in kept)
        for index in kept:
            _paint_entry(painter, at + _APART, self._entries[index], tokens=tokens)
            at += widths[index]


def _width(entry: HeadEntry, *, room: float) -> float:
    value, name = room + _GAP if room else 0.0, width_of(entry.name, px=12)
    return _APART + _SWATCHES.get(entry.swatch, _SWATCH) + _GAP + name + value


def _paint_entry(painter: QPainter, x: float, entry: HeadEntry, *, tokens: Tokens) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    match entry.swatch:
        case Swatch.DOT | Swatch.DIAMOND:
            _paint_spot(painter, QPointF(x + 4.5, _MIDDLE), entry, tokens=tokens)
        case Swatch.RAMP:
            _paint_ramp(painter, QRectF(x, _MIDDLE - 4.5, _SWATCHES[Swatch.RAMP], 9), tokens)
        case Swatch.AREA:
            painter.fillRect(QRectF(x, _MIDDLE - 4.5, _SWATCH, 9), tinted(tokens.ink, 0.28))
        case _:
            _paint_stroke(painter, QLineF(x, _MIDDLE, x + _SWATCH, _MIDDLE), entry, tokens=tokens)
    x += _SWATCHES.get(entry.swatch, _SWATCH) + _GAP
    x += _GAP + write(painter, QPointF(x, _MIDDLE), entry.name, colour=tokens.ink2, px=12)
    if entry.value:
        is_there = entry.value != NOTHING
        colour = tokens.ink if is_there else tokens.ink3
        write(painter, QPointF(x, _MIDDLE), entry.value, colour=colour, px=12, bold=is_there)


def _paint_stroke(painter: QPainter, across: QLineF, entry: HeadEntry, *, tokens: Tokens) -> None:
    match entry.swatch:
        case Swatch.LINE:
            pen = line_pen(entry.line, tokens) if entry.line else ink_pen(tokens.ink, width=1.4)
            painter.setPen(pen)
            painter.drawLine(across)
        case Swatch.MASK:
            _paint_mask_swatch(painter, across, tokens)
        case Swatch.OLD_MASK:
            painter.setPen(dashed_pen(tokens.ink, alpha=0.75))
            painter.drawLine(across)
        case _:  # NONE: the name alone
            pass


def _paint_spot(painter: QPainter, at: QPointF, entry: HeadEntry, *, tokens: Tokens) -> None:
    if entry.swatch is Swatch.DIAMOND:
        paint_diamond(painter, at, across=8, tokens=tokens)
        return
    painter.setPen(Qt.PenStyle.NoPen)
    own = getattr(tokens, entry.colour)
    painter.setBrush(QColor(colour_of(entry.line, tokens) if entry.line else own))
    painter.drawEllipse(at, 4, 4)


def _paint_ramp(painter: QPainter, box: QRectF, tokens: Tokens) -> None:
    colours = ramp(tokens)
    image = QImage(colours.data, colours.size, 1, QImage.Format.Format_ARGB32)
    painter.drawImage(box, image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(ink_pen(tokens.edge))
    painter.drawRect(box)


def _paint_mask_swatch(painter: QPainter, across: QLineF, tokens: Tokens) -> None:
    painter.setPen(ink_pen(tokens.ink, alpha=0.5))
    y = across.y1()
    foot = across.x1() + 2
    painter.drawLines([QLineF(foot + k, y, foot + k + 4, y - 5) for k in (0.0, 6.0, 12.0)])
    painter.setPen(ink_pen(tokens.ink, width=1.6))
    painter.drawLine(across)
