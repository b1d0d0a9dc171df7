"""Upper and lower limit over frequency, or a single limit, as drawn: checked, not yet judged."""

import math
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from dsp.arrays import Floats, read_only
from dsp.errors import DspError

Line = tuple[tuple[float, float], ...] | float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MaskLines:
    """The limits of one quantity; between their points they run straight over log f.

    Attributes
    ----------
    upper, lower : tuple of (Hz, value), or float, or None
        In the unit of the quantity (or of its difference from a reference); a single value holds
        at every frequency, None is no limit. At least one of the two is there, each has its own
        span, and where they overlap the lower one lies nowhere above the upper.
    break_hz : (n,) array
        Hz, frequencies of all points of both limits, rising, each once.

    Raises
    ------
    DspError
        No limit at all, an empty list, points that do not rise from above 0 Hz, values that are
        not finite, limits that cross.
    """

    upper: Line = None
    lower: Line = None
    break_hz: Floats = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if self.upper is None and self.lower is None:
            raise DspError("mask", "empty", allowed="upper, lower or both")
        for side, line in (("upper", self.upper), ("lower", self.lower)):
            _check(line, side=side)
        hz = {point[0] for line in (self.upper, self.lower) for point in _points(line)}
        breaks = np.array(sorted(hz), dtype=np.float64)
        object.__setattr__(self, "break_hz", read_only(breaks))
        self._refuse_crossing()

    @property
    def over_frequency(self) -> bool:
        """Whether any limit consists of points over frequency."""
        return bool(self.break_hz.size)

    @property
    def span_hz(self) -> tuple[float, float]:
        """Lowest and highest frequency that has a limit, Hz; 0 and infinity for single values."""
        if not self.over_frequency or self._has_single_value:
            return (0.0, math.inf)
        breaks = self.break_hz
        return (float(breaks[0]), float(breaks[-1]))

    def upper_at(self, frequency_hz: Floats) -> Floats:
        """Read the upper limit.

        Parameters
        ----------
        frequency_hz : (n,) array
            Hz.

        Returns
        -------
        (n,) array, +inf where there is none.
        """
        return _at(self.upper, frequency_hz=frequency_hz, elsewhere=math.inf)

    def lower_at(self, frequency_hz: Floats) -> Floats:
        """Read the lower limit.

        Parameters
        ----------
        frequency_hz : (n,) array
            Hz.

        Returns
        -------
        (n,) array, -inf where there is none.
        """
        return _at(self.lower, frequency_hz=frequency_hz, elsewhere=-math.inf)

    @property
    def _has_single_value(self) -> bool:
        return any(isinstance(line, float | int) for line in (self.upper, self.lower))

    def _refuse_crossing(self) -> None:
        # Both run straight between these, so what does not cross here crosses nowhere.
        places = self.break_hz if self.over_frequency else np.ones(1)
        crossed = self.lower_at(places) > self.upper_at(places)
        if np.any(crossed):
            at = f" at {places[crossed][0]:g} Hz" if self.over_frequency else ""
            given = (
                f"{self.lower_at(places)[crossed][0]:g} above {self.upper_at(places)[crossed][0]:g}"
            )
            raise DspError("mask", f"lower limit above the upper{at}", given=given)


def _points(line: Line) -> tuple[tuple[float, float], ...]:
    return line if isinstance(line, tuple) else ()


def _check(line: Line, *, side: str) -> None:
    if line is None:
        return
    where = f"mask {side}"
    if not isinstance(line, tuple):
        if not math.isfinite(line):
            raise DspError(where, "not finite", given=line)
        return
    if not line:
        raise DspError(where, "no points", allowed="at least one, or a single value")
    hz = [point[0] for point in line]
    for frequency, value in line:
        if not (math.isfinite(frequency) and math.isfinite(value)):
            raise DspError(where, "not finite", given=(frequency, value))
    if hz[0] <= 0 or any(b <= a for a, b in pairwise(hz)):
        raise DspError(where, "frequencies do not rise from above 0 Hz", given=hz)


def _at(line: Line, *, frequency_hz: Floats, elsewhere: float) -> Floats:
    if line is None:
        return np.full(frequency_hz.shape, elsewhere)
    if not isinstance(line, tuple):
        return np.full(frequency_hz.shape, float(line))
    hz, value = np.array(line, dtype=np.float64).T
    places = np.log(frequency_hz)
    limit: Floats = np.interp(places, np.log(hz), value, left=elsewhere, right=elsewhere)
    return limit
