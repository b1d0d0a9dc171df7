"""Distances of many units to a pair of limits: compiled, for it follows a hand that drags one."""

import math

import numba as nb

from dsp import Floats, Ints


@nb.njit(cache=True, nogil=True)
def measured_rooms(  # noqa: PLR0917  numba has no keyword-only arguments
    value: Floats,
    width: int,
    blocks: Ints,
    upper: Floats,
    lower: Floats,
    offset: Floats | None,
    begin: int,
    end: int,
    rooms: Floats,
) -> None:
    """Find the least distance to a limit in each block of frequencies where all was measured.

    Parameters
    ----------
    value : (n, units) array
        A row a frequency; NaN where a unit is not judged.
    width : int
        Frequencies in a block; the last may have fewer.
    blocks : (m,) int array
        Which blocks.
    upper, lower : (n,) array
        Limits; infinite where there is none, both: nobody is judged there.
    offset : (units,) array or None
        Taken out of the level first; a program of its own is made for None.
    begin, end : int
        Which units.
    rooms : (m, units) array
        For the answers: positive inside, infinite where a unit is judged nowhere.
    """
    for number in range(blocks.size):
        # Parts of rows, not places in them: an index that cannot be negative runs in wide steps.
        least = rooms[number, begin:end]
        least[:] = math.inf
        first = blocks[number] * width
        for place in range(first, min(first + width, value.shape[0])):
            above, below = upper[place], lower[place]
            if above == math.inf and below == -math.inf:
                continue
            row = value[place, begin:end]
            for unit in range(row.size):
                own = row[unit] if offset is None else row[unit] - offset[begin:end][unit]
                to_upper, to_lower = above - own, own - below
                # Written so that NaN loses every comparison.
                nearest = to_upper if to_upper < to_lower else to_lower
                least[unit] = nearest if nearest < least[unit] else least[unit]


@nb.njit(cache=True, nogil=True)
def _rooms(  # noqa: PLR0917  numba has no keyword-only arguments
    above: float, below: float, low: float, high: float
) -> tuple[float, float]:
    # Room that is left surely, and at best, for a value between low and high.
    sure = best = math.inf
    if above < math.inf:
        sure, best = above - high, above - low
    if below > -math.inf:
        sure, best = min(sure, low - below), min(best, high - below)
    return sure, best


@nb.njit(cache=True, nogil=True)
def _width(guard: float, uncertainty: Floats, unit: int) -> float:
    if guard == 0.0:
        return 0.0
    # A guard band of unknown width decides nothing.
    return math.inf if math.isnan(uncertainty[unit]) else guard * uncertainty[unit]


@nb.njit(cache=True, nogil=True)
def doubtful_rooms(  # noqa: PLR0917  numba has no keyword-only arguments
    least: Floats,
    most: Floats,
    uncertainty: Floats,
    guard: float,
    width: int,
    blocks: Ints,
    upper: Floats,
    lower: Floats,
    offset: Floats | None,
    begin: int,
    end: int,
    surely: Floats,
    known: Floats,
    at_best: Floats,
) -> None:
    """Find distances to a limit where values may be bounds or missing, or a guard band counts.

    Parameters
    ----------
    least, most : (n, units) array
        As in Deviation; NaN where a unit is not judged.
    uncertainty : (n, units) array
        Expanded, k = 2; NaN where not known.
    guard : float
        Width of the guard band, times the uncertainty.
    width, blocks, upper, lower, offset, begin, end
        As in ``measured_rooms``.
    surely, known, at_best : (m, units) array
        For the answers: the least room that surely is left within the guard band; the least room
        that is known; and, where a unit surely lies outside by a guard band, how far it does.
        Infinite where there is none.
    """
    for number in range(blocks.size):
        surely[number, begin:end] = math.inf
        known[number, begin:end] = math.inf
        at_best[number, begin:end] = math.inf
        first = blocks[number] * width
        for place in range(first, min(first + width, least.shape[0])):
            _doubtful_row(
                least[place, begin:end],
                most[place, begin:end],
                uncertainty[place, begin:end],
                guard,
                upper[place],
                lower[place],
                None if offset is None else offset[begin:end],
                surely[number, begin:end],
                known[number, begin:end],
                at_best[number, begin:end],
            )


@nb.njit(cache=True, nogil=True)
def _doubtful_row(  # noqa: PLR0917  numba has no keyword-only arguments
    least: Floats,
    most: Floats,
    uncertainty: Floats,
    guard: float,
    above: float,
    below: float,
    offset: Floats | None,
    surely: Floats,
    known: Floats,
    at_best: Floats,
) -> None:
    if above == math.inf and below == -math.inf:
        return
    for unit in range(least.size):
        low, high = least[unit], most[unit]
        if offset is not None:
            low, high = low - offset[unit], high - offset[unit]
        if math.isnan(low):
            continue
        sure, best = _rooms(above, below, low, high)
        width = _width(guard, uncertainty, unit)
        surely[unit] = min(surely[unit], sure - width)
        if sure > -math.inf:
            known[unit] = min(known[unit], sure)
        if best < 0.0 and best <= -width:
            at_best[unit] = min(at_best[unit], best)


@nb.njit(cache=True, nogil=True)
def weighted(  # noqa: PLR0917  numba has no keyword-only arguments
    least: Floats,
    most: Floats,
    middle: Floats,
    place_log: Floats,
    first: Ints,
    last: Ints,
    total: Floats,
    weight: Floats,
) -> None:
    """Sum what was measured over log f, each point with the width of its cell.

    Parameters
    ----------
    least, most : (n, units) array
        As in Deviation; equal where it was measured.
    middle : (n,) array
        Taken out; NaN where a point does not count.
    place_log : (n,) array
        Logarithm of the frequencies.
    first, last : (units,) int array
        From which point to which, both included; none where the first comes after the last.
    total, weight : (units,) array
        For the answers, both 0 at first.
    """
    for place in range(least.shape[0]):
        if math.isnan(middle[place]):
            continue
        for unit in range(least.shape[1]):
            if place < first[unit] or place > last[unit]:
                continue
            value = least[place, unit]
            if not (value == most[place, unit] and abs(value) < math.inf):
                continue
            before, after = max(place - 1, first[unit]), min(place + 1, last[unit])
            width = 1.0
            if after > before:
                width = (place_log[after] - place_log[before]) / (after - before)
            total[unit] += width * (value - middle[place])
            weight[unit] += width
