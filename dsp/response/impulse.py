"""An impulse response."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dsp.arrays import Floats, read_only


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ImpulseResponse:
    """What a channel answers to one volt for one sample.

    Attributes
    ----------
    samples : (n,) array
        Channel's unit per volt; the plain sum over samples e^(-j w t) is the response. Times the
        sample rate it is the impulse response in unit/(V s).
    sample_rate_hz : float
        Hz.
    zero_index : int
        Where time zero lies, at which the impulse was played; may lie outside.
    arrival_index : int
        Where the response sets in.
    """

    samples: NDArray[np.floating]
    sample_rate_hz: float
    zero_index: int
    arrival_index: int

    def __post_init__(self) -> None:
        object.__setattr__(self, "samples", read_only(self.samples))

    @property
    def time_s(self) -> Floats:
        """Time of each sample, (n,), s."""
        out: Floats = (np.arange(self.samples.size) - self.zero_index) / self.sample_rate_hz
        return out
