"""What units are held against a mask with, laid out so that limits are quickly compared."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from dsp import Bools, Floats, Ints, Number, read_only
from dsp.conformity.against import Against
from dsp.conformity.deviation import Deviation, deviation_at
from dsp.conformity.places import SAME
from dsp.later import Later

Side = Literal["upper", "lower"]
WIDTH = 16  # frequencies in a block: what a dragged point changes is judged anew block by block
_REMEMBERED = 4  # sets of frequencies between the own ones


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Columns:
    """Some frequencies, a row each, the units side by side; judged a block of rows at a time.

    Attributes
    ----------
    least, most : (n, units) array
        As in Deviation; NaN where a unit is not judged.
    doubt : Later of (n, units) array
        The uncertainty.
    width : int
        Rows in a block; the last may have fewer.
    measured : tuple of bool
        Of which blocks ``least`` and ``most`` are the same wherever a unit is judged.
    """

    least: Floats
    most: Floats
    doubt: Later[Floats]
    width: int
    measured: tuple[bool, ...]
    _farthest: dict[tuple[int, Side], Floats] = field(default_factory=dict, repr=False)
    _judged: dict[tuple[int, Side], tuple[Floats, Floats]] = field(default_factory=dict, repr=False)

    @property
    def uncertainty(self) -> Floats:
        """Expanded, k = 2, (n, units), as ``least``; infinite where it is not known."""
        return self.doubt()

    def rows(self, block: int) -> slice:
        """Return which rows a block has."""
        return slice(block * self.width, (block + 1) * self.width)

    def farthest(self, block: int, *, side: Side) -> Floats:
        """Return what lies nearest to a limit that is level over a block in which all is measured.

        Parameters
        ----------
        block : int
            Which.
        side : "upper" or "lower"
            Of the limit.

        Returns
        -------
        (units,) array, the largest or smallest values, NaN where a unit is not judged; they are
        remembered, because most limits are level nearly everywhere.
        """
        key, values = (block, side), self.least[self.rows(block)]
        if key not in self._farthest:
            of_all = np.fmax if side == "upper" else np.fmin
            self._farthest[key] = of_all.reduce(values, axis=0) if len(values) > 1 else values[0]
        return self._farthest[key]

    def judged(self, block: int, *, side: Side) -> tuple[Floats, Floats] | None:
        """Return the limit that a block was judged by last, and the room that it left."""
        return self._judged.get((block, side))

    def remember(self, block: int, *, side: Side, limits: Floats, room: Floats) -> None:
        """Keep what a block came to: limits that are moved as they are run beside these."""
        self._judged[block, side] = (limits, room)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class HeldColumns:
    """A quantity of several units, ready to be judged by any mask.

    Attributes
    ----------
    members : (units,) int array
        Their places in the trial.
    frequency_hz : (n,) array
        Hz; 1 for a number, whose limits have no frequency.
    own : Columns, (n, units)
        At these frequencies.
    low_hz, high_hz : (units,) array
        Hz, where each may be believed.
    these : Against or None
        What the columns were taken from; None for a number.
    """

    members: Ints
    frequency_hz: Floats
    own: Columns
    low_hz: Floats
    high_hz: Floats
    these: Against | None
    _between: dict[bytes, Columns] = field(default_factory=dict, repr=False)

    def at(self, frequency_hz: Floats) -> Columns:
        """Read the units at other frequencies, (m,), on straight lines over log f.

        The last few answers are remembered: a mask keeps its frequencies while limits are dragged.
        """
        key, known = frequency_hz.tobytes(), self._between
        if key not in known:
            if len(known) >= _REMEMBERED:
                known.pop(next(iter(known)))
            known[key] = self._read(frequency_hz)
        return known[key]

    def _read(self, frequency_hz: Floats) -> Columns:
        if self.these is None:
            none = np.empty((0, self.members.size))
            return columns_of(none, none, Later.known(none), width=1)
        found = deviation_at(
            self.these.curves, reference=self.these.reference, frequency_hz=frequency_hz
        )
        return _laid_out(found, hz=frequency_hz, low=self.low_hz, high=self.high_hz, width=1)


def columns_of(least: Floats, most: Floats, doubt: Later[Floats], *, width: int) -> Columns:
    """Make columns of (n, units) arrays; where the uncertainty is not known it may be NaN."""
    starts = range(0, least.shape[0], width)
    parts = [(least[start : start + width], most[start : start + width]) for start in starts]
    measured = [most is least or bool(np.all((a == b) | np.isnan(a))) for a, b in parts]
    return Columns(
        least=least,
        most=most,
        doubt=Later(lambda: _sure_or_infinite(doubt())),
        width=width,
        measured=tuple(measured),
    )


def _sure_or_infinite(uncertainty: Floats) -> Floats:
    unknown = np.isnan(uncertainty)
    return np.where(unknown, np.inf, uncertainty) if unknown.any() else uncertainty


def columns_of_set(these: Against) -> HeldColumns:
    """Lay out a set of curves."""
    hz, low, high = these.curves.frequency_hz, these.low_hz, these.high_hz
    return HeldColumns(
        members=these.curves.members,
        frequency_hz=hz,
        own=_laid_out(these.own, hz=hz, low=low, high=high, width=WIDTH),
        low_hz=low,
        high_hz=high,
        these=these,
    )


def columns_of_numbers(
    numbers: Sequence[Number | None], *, reference: Number | None = None
) -> HeldColumns:
    """Lay out a number, a unit each.

    Parameters
    ----------
    numbers : sequence of Number or None
        In the order of the trial.
    reference : Number or None
        Subtracted.

    Returns
    -------
    HeldColumns; those that ``judge_number`` would not look at are left out.
    """
    ours = [
        (place, number)
        for place, number in enumerate(numbers)
        if number is not None and _is_judged(number, reference=reference)
    ]
    value = np.array([number.value for _, number in ours], dtype=np.float64)
    uncertainty = np.array([_expanded(number) for _, number in ours], dtype=np.float64)
    bound = np.array([number.is_bound for _, number in ours], dtype=np.bool_)
    if reference is not None:
        value = value - reference.value
        uncertainty = np.hypot(uncertainty, _expanded(reference))
    known = np.isfinite(value)
    least = np.where(known & ~bound, value, -np.inf)[np.newaxis]
    most = np.where(known, value, np.inf)[np.newaxis]
    return HeldColumns(
        members=read_only(np.array([place for place, _ in ours], dtype=np.int64)),
        frequency_hz=read_only(np.ones(1)),
        own=columns_of(least, most, Later.known(uncertainty[np.newaxis]), width=1),
        low_hz=read_only(np.zeros(value.size)),
        high_hz=read_only(np.full(value.size, np.inf)),
        these=None,
    )


def _laid_out(found: Deviation, *, hz: Floats, low: Floats, high: Floats, width: int) -> Columns:
    # As ValidRange.holds: a typed 20 Hz and a computed 20 Hz are the same end.
    places = hz[:, np.newaxis]
    outside = (places < low * (1 - SAME)) | (places > high * (1 + SAME))
    least = _blanked(found.least.T, outside)
    most = least if found.most is found.least else _blanked(found.most.T, outside)
    doubt = Later(lambda: np.ascontiguousarray(found.uncertainty.T))
    return columns_of(least, most, doubt, width=width)


def _blanked(values: Floats, outside: Bools) -> Floats:
    blanked = np.where(outside, np.nan, values) if outside.any() else values
    return np.ascontiguousarray(blanked)


def _is_judged(number: Number, *, reference: Number | None) -> bool:
    if not number.trusted:
        return False
    if reference is None:
        return True
    return reference.trusted and reference.unit == number.unit and not reference.is_bound


def _expanded(number: Number) -> float:
    return float("nan") if number.uncertainty is None else 2 * number.uncertainty / number.k
