"""Paints a plot over frequency, in the order in which its parts lie upon each other."""

import math

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath

from app.desktop.palette import Tokens
from app.desktop.plots.area import outline
from app.desktop.plots.curves import paint_band, paint_curve, paint_floor
from app.desktop.plots.drawn import Drawn
from app.desktop.plots.frame import Frame
from app.desktop.plots.frequency_scene import FrequencyScene
from app.desktop.plots.gap import gaps
from app.desktop.plots.grid import paint_grid, write_x_words, write_y_words
from app.desktop.plots.hint import write_hint
from app.desktop.plots.line import LineRole
from app.desktop.plots.mask import PlotMask
from app.desktop.plots.mask_line import paint_mask
from app.desktop.plots.note import PlotNote
from app.desktop.plots.pens import Standing, ink_pen, tinted
from app.desktop.plots.shade_area import paint_shade, write_shade
from app.desktop.plots.spread_area import paint_spread
from app.desktop.plots.ticks import (
    Ticks,
    degree_ticks,
    frequency_ticks,
    per_cent_ticks,
    value_ticks,
)
from app.desktop.plots.valid import paint_invalid, write_reasons
from app.desktop.plots.write import Anchor, width_of, write

_GAP_ALPHA = 0.78
_MANY = 8  # curves, from which on speed counts
_PX_A_WORD = 22.0  # of height, at the least
FLAG_HEIGHT = 18.0
# What lies above what; the chosen take on top.
_ORDER = {LineRole.FLOOR: 0, LineRole.OVERLAY: 1, LineRole.PHASE: 2, LineRole.REFERENCE: 3}
_ON_TOP = {LineRole.TAKE: 9, LineRole.THD: 9}


def paint_still(painter: QPainter, frame: Frame, scene: FrequencyScene, *, tokens: Tokens) -> None:
    """Paint grid, words, invalid range, spread, bands and curves."""
    x = frequency_ticks(frame.x)
    y = _left_ticks(frame, scene)
    paint_grid(painter, frame, x=x, y=y, tokens=tokens)
    low, high = scene.valid_log()
    paint_invalid(painter, frame, low=low, high=high, tokens=tokens)
    for shade in scene.shades:
        paint_shade(painter, frame, shade, tokens=tokens)
    write_y_words(painter, frame, y, tokens=tokens)
    right = _right_ticks(frame, scene)
    write_y_words(painter, frame, right, tokens=tokens, right=True)
    if scene.has_x_words:
        write_x_words(painter, frame, x, tokens=tokens)
    if scene.spread is not None:
        paint_spread(painter, frame, scene.spread, tokens=tokens)
    _paint_curves(painter, frame, scene, tokens=tokens)
    write_reasons(painter, frame, scene.validity, low=low, high=high, tokens=tokens)
    for shade in scene.shades:
        write_shade(painter, frame, shade, tokens=tokens)


def paint_moving(painter: QPainter, frame: Frame, scene: FrequencyScene, *, tokens: Tokens) -> None:
    """Paint what grows or is dragged: live curves, masks and what breaks them, the cursor."""
    for curve in scene.live:
        paint_curve(painter, frame, curve, valid=_valid(scene), tokens=tokens)
    for mask in scene.masks:
        _paint_gaps(painter, frame, scene, mask=mask, tokens=tokens)
        paint_mask(painter, frame, mask, tokens=tokens)
    if scene.hint and not scene.curves and not scene.live:
        write_hint(painter, frame, scene.hint, masks=scene.masks, tokens=tokens)
    for note in scene.notes:
        _write_note(painter, frame, note, tokens=tokens)
    _paint_cursor(painter, frame, scene, tokens=tokens)


def _paint_curves(
    painter: QPainter, frame: Frame, scene: FrequencyScene, *, tokens: Tokens
) -> None:
    valid = _valid(scene)
    in_order = sorted(scene.curves, key=_rank)
    for curve in in_order:
        if curve.line.role is LineRole.FLOOR and not curve.right:
            paint_floor(painter, frame, curve, tokens=tokens)
    if scene.shows_bands and not scene.live:
        for curve in in_order:
            paint_band(painter, frame, curve, tokens=tokens)
    many = len(in_order) > _MANY
    for curve in in_order:
        standing = _standing(curve, scene.lifted)
        paint_curve(painter, frame, curve, valid=valid, tokens=tokens, standing=standing, many=many)


def _standing(curve: Drawn, lifted: str | None) -> Standing:
    if lifted is None:
        return Standing.PLAIN
    return Standing.LIFTED if curve.line.name == lifted else Standing.FADED


def _rank(curve: Drawn) -> int:
    role = curve.line.role
    return _ORDER.get(role, _ON_TOP.get(role, 4))


def _valid(scene: FrequencyScene) -> tuple[float, float] | None:
    low, high = scene.valid_log()
    if low is None and high is None:
        return None
    return (-float("inf") if low is None else low, float("inf") if high is None else high)


def _most_words(frame: Frame) -> float:
    return min(6.0, max(2.0, frame.height / _PX_A_WORD))


def _left_ticks(frame: Frame, scene: FrequencyScene) -> Ticks:
    if scene.is_per_cent:
        return per_cent_ticks(frame.y)
    if scene.unit.startswith("°"):
        return degree_ticks(frame.y)
    return value_ticks(frame.y, most=_most_words(frame))


def _right_ticks(frame: Frame, scene: FrequencyScene) -> Ticks:
    if frame.right is not None:
        if scene.right_unit == "°":
            return degree_ticks(frame.right)
        return value_ticks(frame.right, most=_most_words(frame))
    if scene.right_unit == "%":
        return per_cent_ticks(frame.y)
    return Ticks(labelled=(), words=())


def _paint_gaps(
    painter: QPainter, frame: Frame, scene: FrequencyScene, *, mask: PlotMask, tokens: Tokens
) -> None:
    areas = QPainterPath()
    # All in one stroke: where several curves lie beyond a mask the colour stays the same.
    areas.setFillRule(Qt.FillRule.WindingFill)
    valid = _valid(scene)
    for curves in scene.judged(mask):
        for gap in gaps(curves, mask, valid=valid):
            areas.addPolygon(outline(frame, gap.x, (gap.limit, gap.curve)))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillPath(areas, tinted(tokens.bad, _GAP_ALPHA))


def _write_note(painter: QPainter, frame: Frame, note: PlotNote, *, tokens: Tokens) -> None:
    x, y = frame.px_of(math.log10(note.hz)), frame.py_of(note.value)
    if not frame.holds(x, y):
        return
    half = width_of(note.words, bold=note.bold) / 2
    x = min(max(x, frame.left + half + 4), frame.right_edge - half - 4)
    y = min(max(y + (12 if note.below else -12), frame.top + 8), frame.bottom - 8)
    write(
        painter,
        QPointF(x, y),
        note.words,
        colour=tokens.bad if note.is_bad else tokens.ink,
        bold=note.bold,
        anchor=Anchor.MIDDLE,
        veil=tinted(tokens.plot, 0.75),
    )


def _paint_cursor(
    painter: QPainter, frame: Frame, scene: FrequencyScene, *, tokens: Tokens
) -> None:
    if scene.cursor_hz is None or scene.cursor_hz <= 0:
        return
    place = math.log10(scene.cursor_hz)
    if not frame.x.low - 1e-9 <= place <= frame.x.high + 1e-9:
        return
    x = round(frame.px_of(place)) + 0.5
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setPen(ink_pen(tokens.ink))
    painter.drawLine(QLineF(x, frame.top, x, frame.bottom))
    if not scene.has_flag:
        return
    words = scene.cursor_words or scene.x_words(scene.cursor_hz)
    width = width_of(words, bold=True) + 12
    left = min(max(x - width / 2, frame.left), frame.right_edge - width)
    flag = QRectF(left, frame.top, width, FLAG_HEIGHT)
    painter.fillRect(flag, QColor(tokens.ink))
    write(painter, flag.center(), words, colour=tokens.plot, bold=True, anchor=Anchor.MIDDLE)
