"""The verdict, as large as the window lets it be: read from three metres, and without colour."""

from dataclasses import dataclass, replace

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop import glyphs
from app.desktop.fonts import font
from app.desktop.glyphs import GlyphInks
from app.desktop.palette import Tokens, tokens_of
from app.desktop.presenters.line_panel import Ground, PanelState, waiting_panel
from app.desktop.presenters.mark import Mark
from app.desktop.told import told

# Drawn for a panel of this size; on a larger one everything grows with it.
_WIDTH, _HEIGHT = 912.0, 612.0
_MARGIN = 32.0
_FOOT = 172.0  # from the rule to the bottom edge
_HEAD = 50.0
_GLYPH = 190.0
_WORDS_LEFT = 267.0
_WORD_PX, _TWO_WORDS_PX, _LINE_STEP = 136.0, 124.0, 0.95
_SERIAL_PX, _STAMP_PX = 30.0, 16.0
_ACTION_PX, _THEN_PX, _SMALLEST_ACTION_PX = 52.0, 30.0, 26.0
_CAUSE_PX, _REASON_PX, _SMALLEST_PX = 20.0, 17.0, 11
_LEFT = Qt.AlignmentFlag.AlignLeft
# Share of its square that a glyph leaves free at the left: all begin on one line with the words.
_FREE = {Mark.GOOD: 0.6 / 16, Mark.BAD: 1 / 16, Mark.STALE: 0.6 / 16}
_FREE_OTHERS = 0.9 / 16


@dataclass(frozen=True, slots=True, kw_only=True)
class _Look:
    """Colours of the whole panel."""

    fill: str
    ink: str
    quiet: str
    glyph: GlyphInks


class VerdictPanel(QWidget):
    """Paints a PanelState; its words shrink to fit and never break inside."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = waiting_panel()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(QSize(480, 320))

    @property
    def state(self) -> PanelState:
        """What is shown."""
        return self._state

    def set_state(self, state: PanelState) -> None:
        """Show something else; a reader for the blind hears it."""
        self._state = state
        self.setAccessibleName(state.spoken)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        state = self._own_words()
        look = _look(state, tokens_of(self))
        painter.fillRect(self.rect(), QColor(look.fill))
        if self._state.ground is Ground.PAPER:
            painter.setPen(QPen(QColor(tokens_of(self).hair), 1))
            painter.drawRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5))
        scale = min(self.width() / _WIDTH, self.height() / _HEIGHT)
        painter.scale(scale, scale)
        room = QRectF(0, 0, self.width() / scale, self.height() / scale)
        _paint_head(painter, state, room=room, look=look)
        _paint_verdict(painter, state, room=room, look=look)
        _paint_foot(painter, state, room=room, look=look)

    def _own_words(self) -> PanelState:
        state = self._state
        return replace(
            state,
            action=told(self, state.action),
            then=told(self, state.then),
            cause=told(self, state.cause),
            reason=told(self, state.reason),
        )


def _look(state: PanelState, tokens: Tokens) -> _Look:
    def inks(fill: str, edge: str, sign: str) -> GlyphInks:
        return GlyphInks(fill=QColor(fill), edge=QColor(edge), sign=QColor(sign))

    white = tokens.on_panel
    match state.ground:
        case Ground.GOOD:
            fill = tokens.panel_ok
            return _Look(fill=fill, ink=white, quiet=white, glyph=inks(white, white, fill))
        case Ground.BAD:
            fill = tokens.panel_bad
            return _Look(fill=fill, ink=white, quiet=white, glyph=inks(white, white, fill))
        case Ground.UNDECIDED:
            ink, fill = tokens.on_att, tokens.att
            return _Look(fill=fill, ink=ink, quiet=ink, glyph=inks(fill, ink, ink))
        case Ground.PAPER:
            own = glyphs.inks_of(state.mark, tokens)
            return _Look(fill=tokens.card, ink=tokens.ink, quiet=tokens.ink2, glyph=own)


def _paint_head(painter: QPainter, state: PanelState, *, room: QRectF, look: _Look) -> None:
    painter.setPen(QColor(look.ink))
    stamp = font(_STAMP_PX)
    taken = QFontMetricsF(stamp).horizontalAdvance(state.stamp)
    right = room.width() - _MARGIN
    _text(painter, state.stamp, at=QPointF(right - taken, _HEAD), face=stamp)
    face = _fitting((state.serial,), px=_SERIAL_PX, width=right - _MARGIN - taken - 24)
    _text(painter, state.serial, at=QPointF(_MARGIN, _HEAD), face=face)


def _paint_verdict(painter: QPainter, state: PanelState, *, room: QRectF, look: _Look) -> None:
    middle = (_HEAD + room.height() - _FOOT) / 2
    free = _FREE.get(state.mark, 0.0 if state.ground is Ground.UNDECIDED else _FREE_OTHERS)
    glyph = QRectF(_MARGIN - free * _GLYPH, middle - _GLYPH / 2, _GLYPH, _GLYPH)
    glyphs.paint_in(painter, state.mark, glyph, inks=look.glyph)
    px = _WORD_PX if len(state.words) == 1 else _TWO_WORDS_PX
    face = _fitting(state.words, px=px, width=room.width() - _WORDS_LEFT - _MARGIN)
    step = face.pixelSize() * _LINE_STEP
    metrics = QFontMetricsF(face)
    first = middle + metrics.capHeight() / 2 - step * (len(state.words) - 1) / 2
    painter.setPen(QColor(look.ink))
    for number, line in enumerate(state.words):
        _text(painter, line, at=QPointF(_WORDS_LEFT, first + number * step), face=face)


def _paint_foot(painter: QPainter, state: PanelState, *, room: QRectF, look: _Look) -> None:
    top, width = room.height() - _FOOT, room.width() - 2 * _MARGIN
    rule = QColor(look.ink)
    rule.setAlphaF(0.45)
    painter.setPen(QPen(rule, 1.5))
    painter.drawLine(QPointF(_MARGIN, top), QPointF(_MARGIN + width, top))
    px = _action_px(state, width=width)
    action, then = font(px, bold=True), font(px * _THEN_PX / _ACTION_PX)
    painter.setPen(QColor(look.ink))
    at = QPointF(_MARGIN, top + 61)
    _text(painter, state.action, at=at, face=action)
    after = QFontMetricsF(action).horizontalAdvance(state.action) + px * 0.42
    _text(painter, state.then, at=at + QPointF(after, 0), face=then)
    why = QRectF(_MARGIN, top + 80, width, _FOOT - 80 - 10)
    if state.cause:
        why.setTop(why.top() + _paragraph(painter, state.cause, why, px=_CAUSE_PX, bold=True))
    painter.setPen(QColor(look.quiet))
    _paragraph(painter, state.reason, why, px=_REASON_PX, bold=False)


def _paragraph(painter: QPainter, text: str, room: QRectF, *, px: float, bold: bool) -> float:
    """Write words into a room, smaller if they must be; return how high they are."""
    wraps = int(_LEFT | Qt.TextFlag.TextWordWrap)
    share = 0.55 if bold else 1.0  # of the room: what follows needs the rest
    for size in range(round(px), _SMALLEST_PX - 1, -1):
        face = font(size, bold=bold)
        taken = QFontMetricsF(face).boundingRect(room, wraps, text)
        if taken.height() <= room.height() * share:
            break
    painter.setFont(face)
    painter.drawText(room, wraps, text)
    return taken.height() + 3


def _action_px(state: PanelState, *, width: float) -> float:
    px = _ACTION_PX
    while px > _SMALLEST_ACTION_PX:
        taken = QFontMetricsF(font(px, bold=True)).horizontalAdvance(state.action) + px * 0.42
        taken += QFontMetricsF(font(px * _THEN_PX / _ACTION_PX)).horizontalAdvance(state.then)
        if taken <= width:
            break
        px -= 1
    return px


def _fitting(lines: tuple[str, ...], *, px: float, width: float, smallest: float = 12) -> QFont:
    """Return the largest bold font up to ``px`` in which the widest line fits."""
    face = font(px, bold=True)
    widest = max((QFontMetricsF(face).horizontalAdvance(line) for line in lines), default=0.0)
    if widest <= width or not widest:
        return face
    return font(max(smallest, int(px * width / widest)), bold=True)


def _text(painter: QPainter, text: str, *, at: QPointF, face: QFont) -> None:
    painter.setFont(face)
    painter.drawText(at, text)
