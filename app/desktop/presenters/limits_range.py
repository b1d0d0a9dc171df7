"""How much of the value axis a mask needs: its limits and the units between them, with room."""

import numpy as np

from app.desktop.presenters.limits_scale import scale_of
from app.measure.held import Held
from app.procedure.edit_masks import SIDES, points_of, value_of
from app.procedure.mask_schema import Mask
from dsp.conformity.mask import MaskLines
from dsp.statistics.spread import Spread

_ROOM = 0.12  # of the span, above and below


def value_range(
    masks: tuple[Mask | None, ...], *, held: Held | None, spread: Spread | None
) -> tuple[float, float] | None:
    """Return lower and upper end of the axis in the quantity's unit; None where nothing is known.

    Parameters
    ----------
    masks : tuple of Mask or None
        The draft's, and the one in force: both shall be seen.
    held, spread : Held, Spread or None
        The units; what they do outside the masks' span does not count.
    """
    values = [limit for mask in masks if mask is not None for limit in _limits(mask)]
    if held is not None and spread is not None:
        spans = [_span(mask) for mask in masks if mask is not None]
        low = max(min((span[0] for span in spans), default=0.0), held.low_hz)
        high = min(max((span[1] for span in spans), default=np.inf), held.high_hz)
        inside = (held.frequency_hz >= low) & (held.frequency_hz <= high)
        known = np.concatenate([spread.low[inside], spread.high[inside]])
        values += [float(one) for one in known[np.isfinite(known)]]
    if not values:
        return None
    low, high = min(values), max(values)
    room = _ROOM * (high - low) or max(abs(high), 1.0) * _ROOM
    # Per cent and ohms have no place below nothing.
    floor = 0.0 if low >= 0 and low - room < 0 else low - room
    scale = next((scale_of(mask) for mask in masks if mask is not None), None)
    if scale is None:
        return floor, high + room
    least = min((one for one in values if one > 0), default=0.0)
    return scale.range(floor, high + room, least=least)


def _limits(mask: Mask) -> list[float]:
    limits = []
    for side in SIDES:
        limits += [value for _, value in points_of(mask, side=side)]
        if (single := value_of(mask, side=side)) is not None:
            limits.append(single)
    return limits


def _span(mask: Mask) -> tuple[float, float]:
    return MaskLines(upper=mask.upper, lower=mask.lower).span_hz
