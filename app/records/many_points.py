"""The points of very many curves over the same frequencies, side by side."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Self

import numpy as np

from app.records.curve_blob import Planes, heads_of, parts_of
from dsp import Bools, Floats, Ints

_AT_ONCE = 256  # curves, so that what is turned round stays in the processor


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Doubt:
    """Uncertainties of some curves, as they lie in the store; None: they have none."""

    columns: Ints
    planes: Planes | None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ManyPoints:
    """Room for what ``pack_points`` keeps of curves over the same n frequencies.

    Attributes
    ----------
    value : (n, curves) array
        A row a frequency.
    is_bound : (n, curves) bool array
        As in Curve.
    low_hz, high_hz : (curves,) array
        Hz.
    """

    value: Floats
    is_bound: Bools
    low_hz: Floats
    high_hz: Floats
    _doubts: list[_Doubt] = field(default_factory=list, repr=False)

    @classmethod
    def room(cls, *, size: int, curves: int) -> Self:
        """Return room for so many curves of ``size`` points; nothing stands in it yet."""
        return cls(
            value=np.empty((size, curves)),
            is_bound=np.zeros((size, curves), dtype=np.bool_),
            low_hz=np.empty(curves),
            high_hz=np.empty(curves),
        )

    def part(self, curves: int) -> "ManyPoints":
        """Return the first curves, in the same memory; no others may stand in it."""
        return ManyPoints(
            value=self.value[:, :curves],
            is_bound=self.is_bound[:, :curves],
            low_hz=self.low_hz[:curves],
            high_hz=self.high_hz[:curves],
            _doubts=self._doubts,
        )

    def put(self, packed: Sequence[bytes], *, begin: int) -> None:
        """Put what ``pack_points`` was given for some curves side by side, from one place on."""
        heads, size = heads_of(packed), self.value.shape[0]
        self.low_hz[begin : begin + len(packed)] = heads.low_hz
        self.high_hz[begin : begin + len(packed)] = heads.high_hz
        for flags in np.unique(heads.flags).tolist():
            ours = np.flatnonzero(heads.flags == flags)
            for start in range(0, ours.size, _AT_ONCE):
                some = ours[start : start + _AT_ONCE]
                parts = parts_of([packed[one] for one in some], flags=flags, size=size)
                columns = begin + some
                self.value[:, _as_slice(columns)] = parts.value.numbers().T
                self._doubts.append(_Doubt(columns=columns, planes=parts.uncertainty))
                if parts.is_bound is not None:
                    self.is_bound[:, columns] = parts.is_bound.T

    def uncertainty(self) -> Floats:
        """Unpack the uncertainties, (n, curves): NaN where one is not known."""
        found = np.full(self.value.shape, np.nan)
        for doubt in self._doubts:
            if doubt.planes is not None:
                found[:, _as_slice(doubt.columns)] = doubt.planes.numbers().T
        return found


def _as_slice(places: Ints) -> slice | Ints:
    # Neighbours are written much faster as such.
    first, last = int(places[0]), int(places[-1])
    return slice(first, last + 1) if last - first == places.size - 1 else places
