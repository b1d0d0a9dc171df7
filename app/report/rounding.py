"""How many decimals a figure deserves."""

import math


def decimals(scale: float, *, digits: int) -> int:
    """Return how many decimals so many significant digits of ``scale`` take.

    Parameters
    ----------
    scale : float
        Above 0; an interval, as a rule.
    digits : int
        Significant digits of it to be shown.

    Returns
    -------
    int; below 0 where even tens would say too much.
    """
    return digits - 1 - math.floor(math.log10(scale))
