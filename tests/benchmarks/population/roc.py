"""How well scores of good and of faulty units are told apart."""

import math

import numpy as np

from dsp import Floats

# Of the good scores, those from which the tail beyond them is drawn on.
_TAIL = 0.1


def area_under_roc(good: Floats, faulty: Floats) -> float:
    """Return how often a faulty unit scores above a good one, ties half (Mann and Whitney)."""
    above = faulty[:, np.newaxis] > good
    equal = faulty[:, np.newaxis] == good
    return float(np.mean(above + 0.5 * equal))


def threshold(good: Floats, *, false_rejects: float) -> float:
    """Return the score above which a stated part of good units lies.

    Where there are too few good units to count it, the tail beyond their highest tenth is taken
    to fall exponentially, at the rate of its mean excess (peaks over threshold with shape 0;
    S. Coles, An Introduction to Statistical Modeling of Extreme Values (2001), ch. 4).
    """
    if good.size * false_rejects >= 1:
        return float(np.quantile(good, 1 - false_rejects))
    start = float(np.quantile(good, 1 - _TAIL))
    beyond = good[good > start] - start
    # Of scores that are alike in most units, such as a count, less than a tenth lies beyond.
    share = beyond.size / good.size
    if share <= false_rejects:
        return start
    return start + float(np.mean(beyond)) * math.log(share / false_rejects)


def smallest_found(found: dict[float, float], *, least: float = 0.9) -> float:
    """Return the lowest severity from which on at least that part is found; NaN for none."""
    smallest = math.nan
    for severity in sorted(found, reverse=True):
        if found[severity] < least:
            break
        smallest = severity
    return smallest
