"""How much single readings scatter, from several days on each of which some were made."""

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Scatter:
    """Standard deviation of one reading, in its unit, and the degrees of freedom behind it."""

    deviation: float
    degrees: float


def pooled_scatter(days: Sequence[Sequence[float]]) -> Scatter | None:
    """Pool the variances within days; what lies between days does not count.

    Parameters
    ----------
    days : sequence of sequences of float
        Readings of each day, any unit; days with a single one are passed over.

    Returns
    -------
    Scatter; None where no day had two readings (JCGM 100:2008, H.3.6 and H.5.2.4: sums of squares
    about each day's mean, over the sum of their degrees of freedom).
    """
    squares, degrees = 0.0, 0
    for day in days:
        if len(day) > 1:
            mean = math.fsum(day) / len(day)
            squares += math.fsum((value - mean) ** 2 for value in day)
            degrees += len(day) - 1
    if not degrees:
        return None
    return Scatter(deviation=math.sqrt(squares / degrees), degrees=float(degrees))
