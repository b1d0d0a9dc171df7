"""What the level of each unit is aligned by before it is held against a mask of shape."""

from dataclasses import dataclass, field

import numpy as np

from app.measure.held_columns import HeldColumns
from dsp import Bools, Floats, Ints
from dsp.conformity.align import middle
from dsp.conformity.mask import MaskLines
from dsp.conformity.places import SAME

_REMEMBERED = 8  # bands
_FEW = 32  # different valid ranges


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Sums:
    """What the points that count come to.

    Attributes
    ----------
    first, last : (units,) int array
        From which point to which.
    total, weight : (units,) array
        Of value times width, and of widths.
    spans : mapping of (first, last) to (n,) array or None
        Widths of the points of units between the same ends; None where a unit misses a point.
    """

    first: Ints
    last: Ints
    total: Floats
    weight: Floats
    spans: dict[tuple[int, int], Floats] | None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Aligner:
    """Finds offsets; while the points that count stay the same, what they sum to is remembered."""

    held: HeldColumns
    _known: dict[tuple[object, ...], _Sums] = field(default_factory=dict, repr=False)

    def offsets(self, lines: MaskLines, *, band_hz: tuple[float, float] | None) -> Floats:
        """Return the mean deviation of each unit, (units,), as ``level_offset``; NaN: none.

        Parameters
        ----------
        lines : MaskLines
            Without a reference the level counts from their middle.
        band_hz : (low, high) or None
            Hz, over which; None: over the span of the limits, as far as a unit may be believed.
        """
        these, hz = self.held.these, self.held.frequency_hz
        if these is None:  # a number has no level
            return np.zeros(self.held.members.size)
        centre = np.zeros(hz.size)
        if these.reference is None:
            centre = middle(lines, frequency_hz=hz)
        counts = np.isfinite(centre)
        key = (band_hz or lines.span_hz, counts.tobytes())
        if key not in self._known:
            if len(self._known) >= _REMEMBERED:
                self._known.clear()
            self._known[key] = self._sum(lines, band_hz=band_hz, counts=counts)
        sums = self._known[key]
        total = sums.total
        if sums.spans is None:
            total, _ = _weighted(self.held, centre, first=sums.first, last=sums.last)
        elif these.reference is None:
            centre = np.where(counts, centre, 0.0)
            total = total.copy()
            for (first, last), width in sums.spans.items():
                ours = (sums.first == first) & (sums.last == last)
                total[ours] -= width @ centre
        mean = np.full(total.shape, np.nan)
        np.divide(total, sums.weight, out=mean, where=sums.weight > 0)
        return mean

    def _sum(
        self, lines: MaskLines, *, band_hz: tuple[float, float] | None, counts: Bools
    ) -> _Sums:
        held = self.held
        hz = held.frequency_hz
        low, high = held.low_hz, held.high_hz
        if band_hz is None:
            low, high = np.maximum(low, lines.span_hz[0]), np.minimum(high, lines.span_hz[1])
            none = low > high
        else:
            none = (low > band_hz[0]) | (high < band_hz[1])
            low, high = np.full(low.shape, band_hz[0]), np.full(low.shape, band_hz[1])
        first = np.searchsorted(hz, low * (1 - SAME), side="left")
        last = np.searchsorted(hz, high * (1 + SAME), side="right") - 1
        first[none], last[none] = 1, 0
        total, weight = _weighted(held, np.where(counts, 0.0, np.nan), first=first, last=last)
        return _Sums(
            first=first,
            last=last,
            total=total,
            weight=weight,
            spans=_spans(np.log(hz), first=first, last=last, counts=counts, weight=weight),
        )


def _weighted(
    held: HeldColumns, centre: Floats, *, first: Ints, last: Ints
) -> tuple[Floats, Floats]:
    """Sum what was measured less ``centre`` over log f, each point with the width of its cell."""
    total, weight = np.zeros(first.size), np.zeros(first.size)
    place_log, own = np.log(held.frequency_hz), held.own
    for place in np.flatnonzero(np.isfinite(centre)).tolist():
        value = own.least[place]
        counts = (first <= place) & (place <= last) & (value == own.most[place])
        counts &= np.isfinite(value)
        before, after = np.maximum(place - 1, first), np.minimum(place + 1, last)
        width = np.ones(first.size)  # of a point alone
        np.divide(
            place_log[np.minimum(after, place_log.size - 1)]
            - place_log[np.minimum(before, place_log.size - 1)],
            after - before,
            out=width,
            where=after > before,
        )
        np.add(total, width * (value - centre[place]), out=total, where=counts)
        np.add(weight, width, out=weight, where=counts)
    return total, weight


def _spans(
    place_log: Floats, *, first: Ints, last: Ints, counts: Bools, weight: Floats
) -> dict[tuple[int, int], Floats] | None:
    pairs = np.unique(np.stack([first, last], axis=1), axis=0)
    if len(pairs) > _FEW:
        return None
    spans = {}
    for a, b in pairs.tolist():
        width = np.zeros(place_log.size)
        if b > a:
            width[a : b + 1] = np.gradient(place_log[a : b + 1])
        elif b == a:
            width[a] = 1.0
        width[~counts] = 0.0
        ours = (first == a) & (last == b)
        if not np.allclose(weight[ours], width.sum(), rtol=1e-9, atol=0.0):
            return None  # a unit misses a point
        spans[a, b] = width
    return spans
