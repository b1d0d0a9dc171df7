"""What each role of a curve looks like: colour from the take, width and dashes from the role."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum, auto

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
    LineRole.H2: _Style(width=1.0, dashes=_DASHED),
    LineRole.H3: _Style(width=1.0, dashes=_DOTTED),
    LineRole.H4: _Style(width=1.0, dashes=_DASH_DOT),
    LineRole.H5: _Style(width=1.0, dashes=_DASH_DOT_DOT),
    LineRole.FLOOR: _Style(width=1.0, dashes=_DOTTED),
    LineRole.LIVE: _Style(width=1.0),  # wider costs frames
    LineRole.MASK_OLD: _Style(width=1.0, dashes=_DASHED),
}
_LIFTED_WIDTH = 2.2
_FADED = 0.5  # so much of its colour stays
_DOTS = (1.2, 3.0)  # where a curve may not be believed


class Standing(Enum):
    """How a curve stands among the others."""

    PLAIN = auto()
    LIFTED = auto()  # under the pointer
    FADED = auto()  # another one is


def line_pen(line: PlotLine, tokens: Tokens, *, standing: Standing = Standing.PLAIN) -> QPen:
    """Return the pen of a curve where it may be believed."""
    style = _STYLES[line.role]
    width = _LIFTED_WIDTH if standing is Standing.LIFTED else style.width
    return _pen(_standing_colour(line, tokens, standing), width=width, dashes=style.dashes)


def dotted_pen(line: PlotLine, tokens: Tokens, *, standing: Standing = Standing.PLAIN) -> QPen:
    """Return the pen of a curve outside its valid range."""
    return _pen(_standing_colour(line, tokens, standing), width=1.0, dashes=_DOTS)


def colour_of(line: PlotLine, tokens: Tokens) -> str:
    """Return a curve's colour: its take's, or ink."""
    if line.role in {LineRole.REFERENCE, LineRole.MASK_OLD} or line.take == 0:
        return tokens.ink
    return tokens.takes[(line.take - 1) % len(tokens.takes)]


def _standing_colour(line: PlotLine, tokens: Tokens, standing: Standing) -> str:
    colour = colour_of(line, tokens)
    if standing is not Standing.FADED:
        return colour
    # Mixed with the ground, not let through: segments that overlap would show.
    ground, full = QColor(tokens.plot), QColor(colour)
    mixed = [
        round(_FADED * above + (1 - _FADED) * below)
        for above, below in (
            (full.red(), ground.red()),
            (full.green(), ground.green()),
            (full.blue(), ground.blue()),
        )
    ]
    return QColor(*mixed).name()


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
