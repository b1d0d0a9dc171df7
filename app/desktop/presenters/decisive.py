"""The one mask that decides what is told: the worst broken, or the nearest held."""

import math
from dataclasses import dataclass

import numpy as np

from app.desktop.presenters.figures import hz_text, value_text, with_unit
from app.desktop.presenters.measure_names import number_as, quantity_name
from app.records.take import Take
from dsp.conformity.gap import gap_db
from dsp.conformity.read_at import read_at
from dsp.conformity.verdict import MaskResult, Verdict

_RATIO_UNITS = frozenset({"%"})  # told in dB: that is how the plot shows them
_FINEST_DB, _FINEST_LARGE_DB, _LARGE_DB = 0.3, 3.0, 10.0  # nobody acts on less


@dataclass(frozen=True, slots=True, kw_only=True)
class Decisive:
    """One mask of a take, in words.

    Attributes
    ----------
    mask, quantity : str
        Names in the procedure and in the record.
    name : str
        Of the quantity, as people say it.
    verdict : Verdict
        Of this mask.
    distance : str
        Margin without its sign, with unit; empty where there is none.
    side : str
        ``over``, ``under`` or ``outside``, for a broken limit.
    at : str
        Frequency where it is smallest; empty for a single number.
    hz : float or None
        The same.
    interval : str
        Interval of the value there, with unit; empty where it is not known.
    reason : str
        Why nothing was decided.
    gap_db : float
        Distance as a ratio, positive inside; NaN where there is none.
    """

    mask: str
    quantity: str
    name: str
    verdict: Verdict
    distance: str
    side: str
    at: str
    hz: float | None
    interval: str
    reason: str
    gap_db: float

    @property
    def where(self) -> str:
        """Say where, as the end of a phrase."""
        return f" at {self.at}" if self.at else ""


def decisive(take: Take) -> tuple[Decisive, ...]:
    """Return every mask of a take, the one that decides the most first."""
    found = [_one(name, result, take=take) for name, result in take.masks.items()]
    return tuple(sorted(found, key=_gravest_first))


def _gravest_first(one: Decisive) -> tuple[int, float]:
    order = (Verdict.DOES_NOT_CONFORM, Verdict.NOT_DECIDED, Verdict.CONFORMS)
    return order.index(one.verdict), math.inf if math.isnan(one.gap_db) else one.gap_db


def _one(name: str, result: MaskResult, *, take: Take) -> Decisive:
    mask = take.procedure.masks.get(name)
    quantity = name if mask is None else mask.quantity
    found = _value(take, quantity, hz=result.nearest_hz)
    upper = mask is None or mask.upper is not None
    gap = gap_db(value=found.value, margin=result.margin, unit=found.unit, upper=upper)
    return Decisive(
        mask=name,
        quantity=quantity,
        name=quantity_name(quantity),
        verdict=result.verdict,
        distance=_distance(found, margin=result.margin, gap=gap, quantity=quantity),
        side=_side(take, name),
        at="" if result.nearest_hz is None else hz_text(result.nearest_hz),
        hz=result.nearest_hz,
        interval=_interval(found, quantity=quantity),
        reason=result.reason,
        gap_db=gap,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Value:
    value: float
    unit: str
    interval: float | None


def _value(take: Take, quantity: str, *, hz: float | None) -> _Value:
    curve, number = take.curves.get(quantity), take.numbers.get(quantity)
    if curve is not None and hz is not None:
        read = read_at(curve, frequency_hz=np.array([hz]))
        return _Value(
            value=float(read.value[0]),
            unit=curve.unit,
            interval=_known(float(read.uncertainty[0])),
        )
    if number is not None:
        return _Value(value=number.value, unit=number.unit, interval=_known(number.uncertainty))
    return _Value(value=math.nan, unit="" if curve is None else curve.unit, interval=None)


def _known(interval: float | None) -> float | None:
    return interval if interval is not None and math.isfinite(interval) else None


def _distance(found: _Value, *, margin: float, gap: float, quantity: str) -> str:
    if not math.isfinite(margin):
        return ""
    if found.unit in _RATIO_UNITS and math.isfinite(gap):
        finest = _FINEST_LARGE_DB if abs(gap) >= _LARGE_DB else _FINEST_DB
        return with_unit(value_text(abs(gap), max(finest, _ratio_interval(found))), "dB")
    shown = number_as(quantity, unit=found.unit)
    if quantity not in {"", "polarity"} and found.unit != "1":
        interval = None if found.interval is None else found.interval * shown.scale
        return with_unit(value_text(abs(margin) * shown.scale, interval), shown.unit)
    return ""


def _ratio_interval(found: _Value) -> float:
    """Return the interval of a ratio, dB; 0 where it is not known."""
    if found.interval is None or not found.value > 0:
        return 0.0
    return 20 * math.log10(1 + found.interval / found.value)


def _interval(found: _Value, *, quantity: str) -> str:
    if found.interval is None:
        return ""
    shown = number_as(quantity, unit=found.unit)
    scaled = found.interval * shown.scale
    return with_unit(f"±{value_text(scaled, scaled)}", shown.unit)


def _side(take: Take, name: str) -> str:
    mask = take.procedure.masks.get(name)
    if mask is None or (mask.upper is not None and mask.lower is not None):
        return "outside"
    return "over" if mask.upper is not None else "under"
