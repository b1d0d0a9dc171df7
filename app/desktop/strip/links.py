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
GLYPH = 13.0
_BAR, _TICK = 5.0, 9.0
_LIVE_Y, _NAME_Y, _VALUE_Y, _HEALTH_Y = 26.0, 61.0, 78.0, 97.0  # baselines
_STROKE = 1.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a tile stands: left edge and width, px, from the strip's own left edge."""

    left: float
    width: float

    @property
    def words(self) -> float:
        """Width that its words may take."""
        return self.width - GAP


def paint_wire(painter: QPainter, link: LinkState, place: Place, *, tokens: Tokens) -> None:
    """Paint the wire row of an unfolded tile: wire, bar, tick, symbol, live words."""
    start, end = place.left + RIGHT_EDGE[link.key], place.left + place.width
    if link.key == "input":
        end -= GAP
    _paint_run(painter, link, start, end, WIRE_Y, tokens=tokens)
    _paint_bar(painter, link, start, end, tokens=tokens)
    _paint_symbol(painter, link, place, WIRE_Y, tokens=tokens)
    _paint_live(painter, link, place, start, tokens=tokens)


def paint_words(painter: QPainter, link: LinkState, place: Place, *, tokens: Tokens) -> None:
    """Paint name, worth and health of an unfolded tile."""
    bold = font(13, bold=True)
    _text(painter, link.name, place.left, _NAME_Y, font(12), tokens.ink2, width=place.words)
    value_ink = tokens.ink if link.is_there else tokens.ink3
    _text(painter, link.value, place.left, _VALUE_Y, bold, value_ink, width=place.words)
    left = place.left
    if link.mark is not None:
        box = QRectF(left, _HEALTH_Y - GLYPH + 2, GLYPH, GLYPH)
        glyphs.paint(painter, link.mark, box, tokens=tokens)
        left += GLYPH + 5
    is_bad = link.mark is Mark.BAD
    _text(
        painter,
        link.health,
        left,
        _HEALTH_Y,
        font(12, bold=is_bad),
        tokens.bad if is_bad else tokens.ink2,
        width=place.left + place.words - left,
    )


def paint_folded(painter: QPainter, link: LinkState, place: Place, *, tokens: Tokens) -> None:
    """Paint a tile of the folded strip; one that is not proved says all of it."""
    left = place.left + 33
    small = font(12)
    widest = place.left + place.words - left
    proved = link.mark in {Mark.GOOD, None} or not link.is_there
    words = link.short if proved else link.health
    _text(painter, link.name, left, 21, small, tokens.ink2, width=widest)
    at = left
    if link.mark is not None:
        box = QRectF(at, 37 - GLYPH + 2, GLYPH, GLYPH)
        glyphs.paint(painter, link.mark, box, tokens=tokens)
        at += GLYPH + 4
    ink = tokens.bad if link.mark is Mark.BAD else tokens.ink2
    _text(painter, words, at, 37, font(12, bold=not proved), ink, width=widest - (at - left))
    measure = QFontMetricsF(small)
    taken = max(measure.horizontalAdvance(link.name), at - left + measure.horizontalAdvance(words))
    start, end = left + taken + 12, place.left + place.width
    if link.key != "input" and end - start > 12:
        _paint_run(painter, link, start, end, FOLDED_WIRE_Y, tokens=tokens)
    _paint_symbol(painter, link, place, FOLDED_WIRE_Y, tokens=tokens)


def _paint_run(
    painter: QPainter, link: LinkState, start: float, end: float, y: float, *, tokens: Tokens
) -> None:
    match link.wire:
        case Wire.NONE:
            return
        case Wire.AIR:
            pen = QPen(QColor(tokens.ink3), 1.4, Qt.PenStyle.CustomDashLine)
            pen.setDashPattern([1.2, 3.2])
            painter.setPen(pen)
            painter.drawLine(QPointF(max(start, end - 117), y), QPointF(end - 4, y))
        case Wire.CUT:
            _paint_cut(painter, start, end, y, tokens=tokens)
        case Wire.PLAYING | Wire.SILENT:
            hue = tokens.focus if link.wire is Wire.PLAYING else tokens.edge
            painter.setPen(QPen(QColor(hue), 2.0))
            painter.drawLine(QPointF(start, y), QPointF(end, y))


def _paint_cut(painter: QPainter, start: float, end: float, y: float, *, tokens: Tokens) -> None:
    # Whole on the card's side, dashed behind the cross.
    pen = QPen(QColor(tokens.bad), 1.6)
    painter.setPen(pen)
    middle = (start + end) / 2
    painter.drawLine(QPointF(start, y), QPointF(middle - 12, y))
    glyphs.paint(painter, Mark.BAD, QRectF(middle - 7, y - 7, 14, 14), tokens=tokens)
    pen.setDashPattern([3.0, 2.5])
    painter.setPen(pen)
    painter.drawLine(QPointF(middle + 12, y), QPointF(end, y))


def _paint_bar(
    painter: QPainter, link: LinkState, start: float, end: float, *, tokens: Tokens
) -> None:
    live = link.live
    if live.fill is None:
        return
    span = end - start - (GAP if link.key != "input" else 0)
    hue = QColor(tokens.bad if live.over else tokens.focus)
    painter.fillRect(QRectF(start, WIRE_Y - _BAR / 2, span * live.fill, _BAR), hue)
    if live.tick is not None:
        x = start + span * live.tick
        box = QRectF(x - 1, WIRE_Y - _TICK / 2 - 0.5, 2, _TICK + 1)
        painter.fillRect(box, QColor(tokens.bad if live.over else tokens.ink))


def _paint_symbol(
    painter: QPainter, link: LinkState, place: Place, y: float, *, tokens: Tokens
) -> None:
    if link.key == "unit" and link.wire is Wire.AIR:
        _paint_waves(painter, link, place, y, tokens=tokens)
    hue = tokens.ink if link.is_there else tokens.ink3
    if link.is_lost or (link.key == "input" and link.mark is Mark.BAD):
        hue = tokens.bad
    pen = QPen(QColor(hue), _STROKE)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    if not link.is_there:
        pen.setDashPattern([2.0, 2.0])
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(symbol(link.key, left=place.left, wire=y))


def _paint_waves(
    painter: QPainter, link: LinkState, place: Place, y: float, *, tokens: Tokens
) -> None:
    if not link.live.text or y == FOLDED_WIRE_Y:
        return
    painter.setPen(QPen(QColor(tokens.ink3), 1.3))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    path = waves()
    path.translate(place.left, y)
    painter.drawPath(path)


def _paint_live(
    painter: QPainter, link: LinkState, place: Place, start: float, *, tokens: Tokens
) -> None:
    live = link.live
    is_level = live.fill is not None
    face = font(11, bold=is_level)
    left = start + 3 if link.key != "unit" else place.left + 51
    if live.text:
        hue = tokens.bad if live.over else tokens.ink if is_level else tokens.ink2
        _text(painter, live.text, left, _LIVE_Y, face, hue, width=place.left + place.width - left)
    if live.most:
        thin = font(11, bold=live.over)
        wide = QFontMetricsF(thin).horizontalAdvance(live.most)
        room = QFontMetricsF(face).horizontalAdvance(live.text)
        right = place.left + place.words - 2
        if left + room + 4 <= right - wide:  # the value comes before what is left of it
            hue = tokens.bad if live.over else tokens.ink3
            _text(painter, live.most, right - wide, _LIVE_Y, thin, hue, width=wide + 1)


def _text(
    painter: QPainter, text: str, x: float, baseline: float, face: QFont, hue: str, *, width: float
) -> None:
    painter.setFont(face)
    painter.setPen(QColor(hue))
    fits = QFontMetricsF(face).elidedText(text, Qt.TextElideMode.ElideRight, width + 0.5)
    painter.drawText(QPointF(x, baseline), fits)
