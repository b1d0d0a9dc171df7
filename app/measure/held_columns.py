"""What units are held against a mask with, laid out as the compiled loops want it."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from dsp import Bools, Floats, Ints, Number, read_only
from dsp.conformity.against import Against
from dsp.conformity.deviation import deviation_at
from dsp.conformity.places import SAME

WIDTH = 16  # frequencies in a block: what a dragged point changes is judged anew block by block
_KEPT = 300  # frequencies between the own ones that are remembered


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Columns:
    """A few frequencies, a row each, the units side by side.

    Attributes
    ----------
    least, most, uncertainty : (k, units) array
        As in Deviation; the first two are NaN where a unit is not judged.
    is_measured : bool
        Whether ``least`` and ``most`` are the same wherever a unit is judged.
    """

    least: Floats
    most: Floats
    uncertainty: Floats
    is_measured: bool

    def rows(self, some: slice) -> "Columns":
        """Return some of the frequencies."""
        least, most = self.least[some], self.most[some]
        return Columns(
            least=least,
            most=most,
            uncertainty=self.uncertainty[some],
            is_measured=self.is_measured or _is_measured(least, most),
        )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class HeldColumns:
    """A quantity of several units, ready to be judged by any mask.

    Attributes
    ----------
    members : (units,) int array
        Their places in the trial.
    frequency_hz : (n,) array
        Hz; 1 for a number, whose limits have no frequency.
    whole : Columns, (n, units)
        At these frequencies.
    blocks : tuple of Columns
        The same, ``WIDTH`` frequencies at a time.
    low_hz, high_hz : (units,) array
        Hz, where each may be believed.
    these : Against or None
        What the columns were taken from; None for a number.
    """

    members: Ints
    frequency_hz: Floats
    whole: Columns
    blocks: tuple[Columns, ...]
    low_hz: Floats
    high_hz: Floats
    these: Against | None
    _between: dict[float, Columns] = field(default_factory=dict, repr=False)

    def at(self, frequency_hz: Floats) -> tuple[Columns, ...]:
        """Read the units at other frequencies, on straight lines over log f, a row of columns each.

        What was read once is remembered: a mask keeps most of its points while one is dragged.
        """
        these, known = self.these, self._between
        if these is None:
            return ()
        asked = [float(hz) for hz in frequency_hz]
        if missing := [hz for hz in asked if hz not in known]:
            if len(known) + len(missing) > _KEPT:
                known.clear()
                missing = asked
            places = np.array(missing)
            found = deviation_at(these.curves, reference=these.reference, frequency_hz=places)
            read = _columns(
                found.least,
                found.most,
                found.uncertainty,
                hz=places,
                low=self.low_hz,
                high=self.high_hz,
            )
            for row, hz in enumerate(missing):
                known[hz] = read.rows(slice(row, row + 1))
        return tuple(known[hz] for hz in asked)


def columns_of_set(these: Against) -> HeldColumns:
    """Lay out a set of curves."""
    own, hz = these.own, these.curves.frequency_hz
    low, high = these.low_hz, these.high_hz
    whole = _columns(own.least, own.most, own.uncertainty, hz=hz, low=low, high=high)
    starts = range(0, hz.size, WIDTH)
    return HeldColumns(
        members=these.curves.members,
        frequency_hz=hz,
        whole=whole,
        blocks=tuple(whole.rows(slice(start, start + WIDTH)) for start in starts),
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
    whole = Columns(
        least=least,
        most=most,
        uncertainty=uncertainty[np.newaxis],
        is_measured=_is_measured(least, most),
    )
    return HeldColumns(
        members=read_only(np.array([place for place, _ in ours], dtype=np.int64)),
        frequency_hz=read_only(np.ones(1)),
        whole=whole,
        blocks=(whole,),
        low_hz=read_only(np.zeros(value.size)),
        high_hz=read_only(np.full(value.size, np.inf)),
        these=None,
    )


def _columns(
    least: Floats, most: Floats, uncertainty: Floats, *, hz: Floats, low: Floats, high: Floats
) -> Columns:
    # As ValidRange.holds: a typed 20 Hz and a computed 20 Hz are the same end.
    places = hz[:, np.newaxis]
    outside = (places < low * (1 - SAME)) | (places > high * (1 + SAME))
    is_one = most is least
    least = _blanked(least.T, outside)
    most = least if is_one else _blanked(most.T, outside)
    return Columns(
        least=least,
        most=most,
        uncertainty=np.ascontiguousarray(uncertainty.T),
        is_measured=is_one,
    )


def _blanked(values: Floats, outside: Bools) -> Floats:
    blanked = np.where(outside, np.nan, values) if outside.any() else values
    return np.ascontiguousarray(blanked)


def _is_measured(least: Floats, most: Floats) -> bool:
    return bool(np.all((least == most) | np.isnan(least)))


def _is_judged(number: Number, *, reference: Number | None) -> bool:
    if not number.trusted:
        return False
    if reference is None:
        return True
    return reference.trusted and reference.unit == number.unit and not reference.is_bound


def _expanded(number: Number) -> float:
    return float("nan") if number.uncertainty is None else 2 * number.uncertainty / number.k
