"""How far a value is from its limit as a ratio: margins of different units can be compared."""

import math


def gap_db(*, value: float, margin: float, unit: str, upper: bool) -> float:
    """Return the distance to a limit in decibels, positive inside.

    Parameters
    ----------
    value : float
        What was held against the limit, in ``unit``.
    margin : float
        Its distance to the limit, in ``unit``, positive inside.
    unit : str
        A margin in dB, whatever it is re, is one already.
    upper : bool
        Whether the limit lies above.

    Returns
    -------
    float, dB: 20 log10 of limit over value, or of value over limit. Without a ratio (a sign, a
    value or limit of 0) it is infinite, with the margin's sign; NaN for a margin of NaN.
    """
    if unit.split(" ")[0] == "dB" or math.isnan(margin):
        return margin
    limit = value + margin if upper else value - margin
    if not (value > 0 and limit > 0):
        return math.copysign(math.inf, margin)
    ratio = limit / value if upper else value / limit
    return 20 * math.log10(ratio)
