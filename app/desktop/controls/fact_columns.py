"""Where value, interval and unit stand, so that decimal points are in one line."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtGui import QFontMetricsF

from app.desktop.fonts import font
from app.desktop.presenters.figures import Fact

_GAP = 12.0
_NARROWEST_UNIT = 21.0
_CLEAR = 6.0  # px between a name, its value and what follows


@dataclass(frozen=True, slots=True, kw_only=True)
class FactColumns:
    """Left edges in px; ``point_x`` is where whole digits end."""

    point_x: float
    interval_x: float
    unit_x: float

    def value_left(self, value: str) -> float:
        """Return where a value begins, so that its point falls on ``point_x``."""
        whole, _ = split(value)
        return self.point_x - QFontMetricsF(font(13, bold=True)).horizontalAdvance(whole)

    def beside(self, name_end: float, fact: Fact) -> float:
        """Return where a value begins beside its name: moved off the line of points if it must.

        It moves no further than up to its interval, or its unit where it has none.
        """
        wide = QFontMetricsF(font(13, bold=True)).horizontalAdvance(fact.value)
        last = (self.interval_x if fact.interval else self.unit_x) - _CLEAR - wide
        aligned = self.value_left(fact.value)
        return max(aligned, min(name_end + _CLEAR, last))


def columns_of(facts: Sequence[Fact], *, width: float) -> FactColumns:
    """Return the columns that hold all facts, from the right edge inwards."""
    bold, quiet = QFontMetricsF(font(13, bold=True)), QFontMetricsF(font(12))
    units = [quiet.horizontalAdvance(fact.unit) for fact in facts]
    intervals = [quiet.horizontalAdvance(fact.interval) for fact in facts]
    fractions = [bold.horizontalAdvance(split(fact.value)[1]) for fact in facts]
    widest = max(units, default=0.0)
    unit_x = width - (max(_NARROWEST_UNIT, widest) if widest else 0.0)
    most = max(intervals, default=0.0)
    interval_x = unit_x - (most + _GAP if most else 0.0)
    fraction_end = interval_x - (_GAP - 4 if most or widest else 0.0)
    return FactColumns(
        point_x=fraction_end - max(fractions, default=0.0), interval_x=interval_x, unit_x=unit_x
    )


def split(value: str) -> tuple[str, str]:
    """Return a value up to its decimal point, and from there on."""
    whole, point, fraction = value.partition(".")
    return (whole, point + fraction) if fraction[:1].isdigit() else (value, "")
