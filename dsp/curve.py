"""A quantity over frequency, with its unit, its uncertainty and the span in which it holds."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats, read_only
from dsp.errors import DspError


@dataclass(frozen=True, slots=True, kw_only=True)
class ValidRange:
    """Where a curve may be believed, and what ends it on either side.

    Attributes
    ----------
    low_hz, high_hz : float
        Hz; ``low_hz`` above ``high_hz`` means nowhere.
    low_reason, high_reason : str
        One or two words each: ``excitation``, ``gate``, ``noise``, ``microphone``, ``Nyquist``.
    """

    low_hz: float
    high_hz: float
    low_reason: str = "excitation"
    high_reason: str = "excitation"

    def within(self, other: "ValidRange") -> "ValidRange":
        """Cut this span down to another.

        Parameters
        ----------
        other : ValidRange
            The span to be inside of, Hz.

        Returns
        -------
        ValidRange, the part that both hold, each end with the reason of the stricter one.
        """
        low = self if self.low_hz >= other.low_hz else other
        high = self if self.high_hz <= other.high_hz else other
        return ValidRange(
            low_hz=low.low_hz,
            high_hz=high.high_hz,
            low_reason=low.low_reason,
            high_reason=high.high_reason,
        )

    def holds(self, frequency_hz: Floats) -> Bools:
        """Tell which frequencies lie inside, ends included.

        Parameters
        ----------
        frequency_hz : (n,) array
            Hz.

        Returns
        -------
        (n,) array of bool.
        """
        slack = 1e-9  # a typed 20 Hz and a computed 20 Hz are the same end
        low, high = self.low_hz * (1 - slack), self.high_hz * (1 + slack)
        return (frequency_hz >= low) & (frequency_hz <= high)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Curve:
    """One quantity over frequency.

    Attributes
    ----------
    frequency_hz : (n,) array
        Hz, strictly rising, above 0.
    value : (n,) array
        Real, in ``unit``; NaN where there is nothing to tell.
    unit : str
        For example ``dB re 20 µPa``, ``ohm``, ``deg``, ``%``.
    uncertainty : (n,) array or None
        Expanded uncertainty in ``unit``, k = 2; None where it is not known.
    valid : ValidRange
        Where the curve may be believed.
    is_bound : (n,) bool array or None
        True where ``value`` is only an upper bound, because noise hides what is there; None where
        no point is.
    how : str
        One line on where it came from.

    Raises
    ------
    DspError
        Shapes that differ, or frequencies that do not rise from above 0.
    """

    frequency_hz: Floats
    value: Floats
    unit: str
    valid: ValidRange
    uncertainty: Floats | None = None
    is_bound: Bools | None = None
    how: str = ""

    def __post_init__(self) -> None:
        frequency = np.asarray(self.frequency_hz, dtype=np.float64)
        value = np.asarray(self.value, dtype=np.float64)
        if frequency.ndim != 1 or value.shape != frequency.shape:
            raise DspError("Curve", "shapes differ", given=(frequency.shape, value.shape))
        if frequency.size and (frequency[0] <= 0 or (frequency[1:] <= frequency[:-1]).any()):
            raise DspError("Curve", "frequencies do not rise from above 0 Hz")
        object.__setattr__(self, "frequency_hz", read_only(frequency))
        object.__setattr__(self, "value", read_only(value))
        if self.uncertainty is not None:
            uncertainty = np.asarray(self.uncertainty, dtype=np.float64)
            if uncertainty.shape != frequency.shape:
                raise DspError("Curve", "shapes differ", given=(frequency.shape, uncertainty.shape))
            object.__setattr__(self, "uncertainty", read_only(uncertainty))
        if self.is_bound is not None:
            if self.is_bound.shape != frequency.shape:
                shapes = (frequency.shape, self.is_bound.shape)
                raise DspError("Curve", "shapes differ", given=shapes)
            object.__setattr__(self, "is_bound", read_only(self.is_bound))
