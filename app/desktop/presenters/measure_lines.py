"""Curves of takes as lines of a plot: what is hidden by noise is never drawn as if measured."""

from dataclasses import dataclass, replace

import numpy as np

from app.desktop.plots.line import LineRole, PlotLine
from app.records.take import Take
from app.report.units import short_unit
from dsp import Curve, Floats
from dsp.conformity.deviation import deviation_at, known_range
from dsp.distortion.in_decibels import in_decibels

_TURN = 360.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Shown:
    """A take on the plots.

    Attributes
    ----------
    take : Take
        As kept.
    number : int
        Its running number.
    slot : int or None
        0: the chosen one; 1 to 3: laid over it, in that colour; None: the reference, in ink.
    """

    take: Take
    number: int
    slot: int | None

    @property
    def colour(self) -> int:
        """As plots count colours: 1 to 4 for takes, 0 for ink."""
        return 0 if self.slot is None else self.slot + 1

    @property
    def name(self) -> str:
        """What the head of a plot calls its main quantity."""
        if self.slot is None:
            return "reference"
        return f"take {self.number}" if self.slot == 0 else str(self.number)

    @property
    def role(self) -> LineRole:
        """How its main quantity is drawn."""
        if self.slot is None:
            return LineRole.REFERENCE
        return LineRole.TAKE if self.slot == 0 else LineRole.OVERLAY


def main_line(shown: Shown, curve: Curve, *, right: bool = False, unit: str = "") -> PlotLine:
    """Draw the quantity that a plot is about."""
    return _line(
        curve, name=shown.name, role=shown.role, colour=shown.colour, right=right, unit=unit
    )


def side_line(
    shown: Shown, curve: Curve, *, name: str, role: LineRole, right: bool = False, unit: str = ""
) -> PlotLine:
    """Draw another quantity of a take, told apart by its line's style."""
    return _line(curve, name=name, role=role, colour=shown.colour, right=right, unit=unit)


def phase_line(shown: Shown, curve: Curve, *, right: bool = True, name: str = "phase") -> PlotLine:
    """Draw an angle within one turn; no line across a jump from one end to the other."""
    turned = within_one_turn(curve)
    return _line(
        turned if not right else replace(turned, uncertainty=None),  # it would crowd the head
        name=name,
        role=LineRole.PHASE,
        colour=shown.colour,
        right=right,
        unit=short_unit(curve.unit),
    )


def within_one_turn(curve: Curve) -> Curve:
    """Bring an angle, deg, to within half a turn of 0; NaN where it jumps to the other end."""
    wrapped = curve.value - _TURN * np.round(curve.value / _TURN)
    jumps = np.abs(np.diff(wrapped, prepend=wrapped[:1])) > _TURN / 2
    return replace(curve, value=np.where(jumps, np.nan, wrapped))


def floor_line(curve: Curve, *, name: str = "noise") -> PlotLine:
    """Draw a floor of noise, which bounds what can be read."""
    return _line(curve, name=name, role=LineRole.FLOOR, colour=0, right=False, unit="")


def hidden_line(shown: Shown, curve: Curve, *, name: str) -> PlotLine | None:
    """Draw where a curve is only an upper bound, because noise hides what is there."""
    if curve.is_bound is None or not curve.is_bound.any():
        return None
    return PlotLine(
        name=name,
        x=curve.frequency_hz,
        y=np.where(curve.is_bound, curve.value, np.nan),
        role=LineRole.FLOOR,
        take=shown.colour,
        valid=(curve.valid.low_hz, curve.valid.high_hz),
    )


def difference_line(shown: Shown, other: Shown, *, quantity: str, unit: str) -> PlotLine | None:
    """Draw a take less another one, with the interval of the difference."""
    curve, base = (one.take.curves.get(quantity) for one in (shown, other))
    if curve is None or base is None:
        return None
    curve, base = in_decibels(curve), in_decibels(base)
    away = deviation_at(curve, reference=base, frequency_hz=curve.frequency_hz)
    known = known_range(curve, reference=base)
    return PlotLine(
        name=f"{shown.number} − {other.name}",
        x=curve.frequency_hz,
        y=away.measured,
        role=LineRole.TAKE,
        take=other.colour if other.slot else 1,
        interval=away.uncertainty,
        valid=(known.low_hz, known.high_hz),
        reason=known.low_reason,
        high_reason=known.high_reason,
        unit=unit,
        decimals=2,
    )


def told(curve: Curve) -> Floats:
    """Return what a curve tells, (n,); NaN where noise hides it."""
    if curve.is_bound is None:
        return curve.value
    return np.where(curve.is_bound, np.nan, curve.value)


def _line(
    curve: Curve, *, name: str, role: LineRole, colour: int, right: bool, unit: str
) -> PlotLine:
    return PlotLine(
        name=name,
        x=curve.frequency_hz,
        y=told(curve),
        role=role,
        take=colour,
        right=right,
        interval=curve.uncertainty,
        valid=(curve.valid.low_hz, curve.valid.high_hz),
        reason=curve.valid.low_reason,
        high_reason=curve.valid.high_reason,
        unit=unit,
        decimals=0 if curve.unit == "deg" else 1,
    )
