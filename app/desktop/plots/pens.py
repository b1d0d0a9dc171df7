"""What each role of a curve looks like: colour from the take, width and dashes from the role."""

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPen

from app.desktop.palette import Tokens
from app.desktop.plots.line import LineRole, PlotLine


@dataclass(frozen=True, slots=True, kw_only=True)
class _Style:
    width: float
    dashes: tuple[float, ...] = ()  # px, on and off


_DASHED, _DOTTED = (5.0, 3.0), (1.5, 2.5)
_DASH_DOT, _DASH_DOT_DOT = (7.0, 3.0, 1.5, 3.0), (7.0, 3.0, 1.5, 3.0, 1.5, 3.0)
_STYLES: Mapping[LineRole, _Style] = {
    LineRole.TAKE: _Style(width=2.2),
    LineRole.THD: _Style(width=2.2),
    LineRole.OVERLAY: _Style(width=1.5),
    LineRole.OTHER: _Style(width=1.5),
    LineRole.HIGH: _Style(width=1.5),
    LineRole.REFERENCE: _Style(width=1.1),
    LineRole.PHASE: _Style(width=1.0, dashes=_DASHED),
    LineRole.H2: _Style(width=1.2, dashes=_DASHED),
    LineRole.H3: _Style(width=1.2, dashes=_DOTTED),
    LineRole.H4: _Style(width=1.2, dashes=_DASH_DOT),
    LineRole.H5: _Style(width=1.2, dashes=_DASH_DOT_DOT),
    LineRole.FLOOR: _Style(width=1.0, dashes=_DOTTED),
    LineRole.LIVE: _Style(width=1.0),  # wider costs frames
    LineRole.MASK_OLD: _Style(width=1.0, dashes=_DASHED),
}
LIFTED_WIDTH = 2.2
_DOTS = (1.2, 3.0)  # where a curve may not be believed


def line_pen(line: PlotLine, tokens: Tokens, *, alpha: float = 1.0) -> QPen:
    """Return the pen of a curve where it may be believed."""
    style = _STYLES[line.role]
    return _pen(colour_of(line, tokens), width=style.width, dashes=style.dashes, alpha=alpha)


def lifted_pen(line: PlotLine, tokens: Tokens) -> QPen:
    """Return the pen of the curve under the pointer."""
    return _pen(colour_of(line, tokens), width=LIFTED_WIDTH, dashes=_STYLES[line.role].dashes)


def dotted_pen(line: PlotLine, tokens: Tokens, *, alpha: float = 1.0) -> QPen:
    """Return the pen of a curve outside its valid range."""
    width = min(_STYLES[line.role].width, 1.2)
    return _pen(colour_of(line, tokens), width=width, dashes=_DOTS, alpha=alpha)


def colour_of(line: PlotLine, tokens: Tokens) -> str:
    """Return a curve's colour: its take's, or ink."""
    if line.role in {LineRole.REFERENCE, LineRole.MASK_OLD} or line.take == 0:
        return tokens.ink
    return tokens.takes[(line.take - 1) % len(tokens.takes)]


def ink_pen(colour: str, *, width: float = 1.0, alpha: float = 1.0) -> QPen:
    """Return a solid pen."""
    return _pen(colour, width=width, alpha=alpha)


def dashed_pen(colour: str, *, width: float = 1.0, alpha: float = 1.0) -> QPen:
    """Return a dashed pen."""
    return _pen(colour, width=width, dashes=(3.0, 3.0), alpha=alpha)


def tinted(colour: str, alpha: float) -> QColor:
    """Return a colour let through to ``alpha`` of 1."""
    made = QColor(colour)
    made.setAlphaF(alpha)
    return made


def _pen(colour: str, *, width: float, dashes: tuple[float, ...] = (), alpha: float = 1.0) -> QPen:
    pen = QPen(tinted(colour, alpha), width)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    if dashes:
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setDashPattern([px / width for px in dashes])  # Qt counts in widths
    return pen
