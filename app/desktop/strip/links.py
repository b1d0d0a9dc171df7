"""Painting of the strip's tiles: wire and symbol above, then name, worth and health."""

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from app.desktop import glyphs
from app.desktop.fonts import font
from app.desktop.palette import Tokens
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.strip_state import LinkState, Wire
from app.desktop.strip.symbols import RIGHT_EDGE, symbol, waves

WIRE_Y = 33.0  # of the wire, from the strip's top
FOLDED_WIRE_Y = 24.0
GAP = 16.0  # between the words of a tile and the next tile
_GLYPH = 13.0
_BAR, _TICK = 5.0, 10.0
_LIVE_Y, _NAME_Y, _VALUE_Y, _HEALTH_Y = 26.0, 61.0, 78.0, 97.0  # baselines
_FOLDED_NAME_Y, _FOLDED_HEALTH_Y = 21.0, 37.0
_FOLDED_WORDS = 33.0  # left of them, from the tile's left
_STROKE = 1.6
_AIR = 47.0  # from a tile's left to where its waves have left the drawing


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a tile stands: left edge and width, px, from the strip's own left edge."""

    left: float
    width: float

    @property
    def right(self) -> float:
        """Where the next tile begins."""
        return self.left + self.width

    @property
    def words_right(self) -> float:
        """Where its words must end."""
        return self.right - GAP


@dataclass(frozen=True, slots=True, kw_only=True)
class Pencil:
    """A painter and the theme that it paints in."""

    painter: QPainter
    tokens: Tokens

    def write(
        self, text: str, at: QPointF, *, face: QFont, hue: str, right: float | None = None
    ) -> None:
        """Write on a baseline; what would pass ``right`` gives way to an ellipsis."""
        if right is not None:
            room = right - at.x() + 0.5
            text = QFontMetricsF(face).elidedText(text, Qt.TextElideMode.ElideRight, room)
        self.painter.setFont(face)
        self.painter.setPen(QColor(hue))
        self.painter.drawText(at, text)

    def line(self, pen: QPen, start: float, end: float, *, y: float) -> None:
        """Draw a wire."""
        self.painter.setPen(pen)
        self.painter.drawLine(QPointF(start, y), QPointF(end, y))

    def mark(self, mark: Mark | None, left: float, *, baseline: float) -> float:
        """Paint a mark before words; return where those begin."""
        if mark is None:
            return left
        box = QRectF(left, baseline - _GLYPH + 2, _GLYPH, _GLYPH)
        glyphs.paint(self.painter, mark, box, tokens=self.tokens)
        return left + _GLYPH + 5


def paint_wire(pencil: Pencil, link: LinkState, place: Place) -> None:
    """Paint the wire row of an unfolded tile: wire, bar, tick, symbol, live words."""
    start = place.left + RIGHT_EDGE[link.key]
    end = place.words_right if link.key == "input" else place.right
    in_air = link.wire in {Wire.AIR, Wire.SOUND}
    run_start = place.left + _AIR if in_air else start
    _paint_run(pencil, link.wire, start=run_start, end=end, y=WIRE_Y)
    _paint_bar(pencil, link, start=start, end=place.words_right)
    _paint_symbol(pencil, link, left=place.left, y=WIRE_Y)
    if in_air:
        _paint_waves(pencil, link, left=place.left)
    _paint_live(pencil, link, left=start + 3, place=place)


def paint_words(pencil: Pencil, link: LinkState, place: Place) -> None:
    """Paint name, worth and health of an unfolded tile."""
    tokens, left, right = pencil.tokens, place.left, place.words_right
    bold = font(13, bold=True)
    name = _fitting((link.name, link.short_name), font(12), right - left)
    pencil.write(name, QPointF(left, _NAME_Y), face=font(12), hue=tokens.ink2, right=right)
    pencil.write(
        _fitting(_values(link), bold, right - left),
        QPointF(left, _VALUE_Y),
        face=bold,
        hue=tokens.ink if link.is_there else tokens.ink3,
        right=right,
    )
    is_bad = link.mark is Mark.BAD
    small = font(12, bold=is_bad)
    at = pencil.mark(link.mark, left, baseline=_HEALTH_Y)
    pencil.write(
        _fitting((link.health, link.health.removesuffix(" ago"), link.short), small, right - at),
        QPointF(at, _HEALTH_Y),
        face=small,
        hue=tokens.bad if is_bad else tokens.ink2,
        right=right,
    )


def paint_folded(pencil: Pencil, link: LinkState, place: Place) -> None:
    """Paint a tile of the folded strip; one that is not proved says all of it."""
    tokens, left = pencil.tokens, place.left + _FOLDED_WORDS
    is_well = link.mark in {Mark.GOOD, None} or not link.is_there
    face = font(12, bold=not is_well)
    name = _fitting((link.name, link.short_name), font(12), place.words_right - left)
    pencil.write(
        name,
        QPointF(left, _FOLDED_NAME_Y),
        face=font(12),
        hue=tokens.ink2,
        right=place.words_right,
    )
    at = pencil.mark(link.mark, left, baseline=_FOLDED_HEALTH_Y)
    forms = _tails(link.short)
    if not is_well:
        forms = (link.health, link.health.removesuffix(" overdue"), *forms)
    words = _fitting(forms, face, place.words_right - at)
    pencil.write(
        words,
        QPointF(at, _FOLDED_HEALTH_Y),
        face=face,
        hue=tokens.bad if link.mark is Mark.BAD else tokens.ink2,
        right=place.words_right,
    )
    name_right = left + QFontMetricsF(font(12)).horizontalAdvance(name)
    start = max(name_right, at + QFontMetricsF(face).horizontalAdvance(words)) + 12
    if link.key != "input" and place.right - start > GAP:
        _paint_run(pencil, link.wire, start=start, end=place.right, y=FOLDED_WIRE_Y)
    _paint_symbol(pencil, link, left=place.left, y=FOLDED_WIRE_Y)


def _paint_run(pencil: Pencil, wire: Wire, *, start: float, end: float, y: float) -> None:
    tokens = pencil.tokens
    match wire:
        case Wire.NONE:
            return
        case Wire.AIR | Wire.SOUND:
            pen = QPen(QColor(tokens.focus if wire is Wire.SOUND else tokens.ink3), 1.4)
            pen.setDashPattern([0.1, 3.6])
            pen.setCapStyle(Qt.PenCapStyle.RoundCap)
            pencil.line(pen, start, end - 5, y=y)
        case Wire.CUT:
            _paint_cut(pencil, start=start, end=end, y=y)
        case Wire.PLAYING | Wire.SILENT:
            hue = tokens.focus if wire is Wire.PLAYING else tokens.edge
            pencil.line(QPen(QColor(hue), 2.0), start, end, y=y)


def _paint_cut(pencil: Pencil, *, start: float, end: float, y: float) -> None:
    # Whole on the card's side, dashed behind the cross.
    pen = QPen(QColor(pencil.tokens.bad), _STROKE)
    middle = (start + end) / 2
    pencil.line(pen, start, middle - 12, y=y)
    pen.setDashPattern([3.0, 2.5])
    pencil.line(pen, middle + 12, end, y=y)
    box = QRectF(middle - 7, y - 7, 14, 14)
    glyphs.paint(pencil.painter, Mark.BAD, box, tokens=pencil.tokens)


def _paint_bar(pencil: Pencil, link: LinkState, *, start: float, end: float) -> None:
    live, tokens = link.live, pencil.tokens
    if live.fill is None:
        return
    span = end - start
    bar = QRectF(start, WIRE_Y - _BAR / 2, span * live.fill, _BAR)
    pencil.painter.fillRect(bar, QColor(tokens.bad if live.over else tokens.focus))
    if live.tick is not None:
        box = QRectF(start + span * live.tick - 1, WIRE_Y - _TICK / 2, 2, _TICK)
        pencil.painter.fillRect(box, QColor(tokens.bad if live.over else tokens.ink))


def _paint_symbol(pencil: Pencil, link: LinkState, *, left: float, y: float) -> None:
    tokens = pencil.tokens
    hue = tokens.bad if link.mark is Mark.BAD else tokens.ink if link.is_there else tokens.ink3
    pen = QPen(QColor(hue), _STROKE)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    if not link.is_there:
        pen.setDashPattern([2.0, 2.0])
    pencil.painter.setPen(pen)
    pencil.painter.setBrush(Qt.BrushStyle.NoBrush)
    pencil.painter.drawPath(symbol(link.key, left=left, wire=y))


def _paint_waves(pencil: Pencil, link: LinkState, *, left: float) -> None:
    tokens = pencil.tokens
    hue = tokens.focus if link.wire is Wire.SOUND else tokens.ink3
    pencil.painter.setPen(QPen(QColor(hue), 1.3))
    pencil.painter.setBrush(Qt.BrushStyle.NoBrush)
    path = waves()
    path.translate(left, WIRE_Y)
    pencil.painter.drawPath(path)


def _paint_live(pencil: Pencil, link: LinkState, *, left: float, place: Place) -> None:
    live, tokens = link.live, pencil.tokens
    face = font(11, bold=link.wire in {Wire.PLAYING, Wire.SOUND})
    if link.key == "unit":
        left = place.left + 51
    hue = tokens.bad if live.over else tokens.ink2
    if face.bold() and not live.over:
        hue = tokens.ink
    pencil.write(live.text, QPointF(left, _LIVE_Y), face=face, hue=hue, right=place.right)
    thin = font(11, bold=live.over)
    begins = place.words_right - 2 - QFontMetricsF(thin).horizontalAdvance(live.most)
    # The value comes before what is left of it.
    if left + QFontMetricsF(face).horizontalAdvance(live.text) + 4 <= begins:
        hue = tokens.bad if live.over else tokens.ink3
        pencil.write(live.most, QPointF(begins, _LIVE_Y), face=thin, hue=hue)


def _values(link: LinkState) -> tuple[str, ...]:
    if link.key == "unit":
        return _tails(link.value)
    return link.value, link.value.removesuffix(" full scale")


def _tails(serial: str) -> tuple[str, ...]:
    """Return a serial, and it without its first parts: the last ones tell units of a lot apart."""
    parts = serial.split("-")
    return tuple("-".join(parts[at:]) for at in range(len(parts)))


def _fitting(forms: tuple[str, ...], face: QFont, room: float) -> str:
    """Return the longest form of some words that fits; the last one where none does."""
    measure = QFontMetricsF(face)
    return next((form for form in forms if measure.horizontalAdvance(form) <= room), forms[-1])
