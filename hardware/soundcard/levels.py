"""How high inputs go: their peaks, their powers, and what was found at the rails."""

import math
from dataclasses import dataclass

import numpy as np

from dsp.response.overload import Overload, overload
from hardware.card import Samples
from hardware.errors import HardwareError

# An input that gave nothing at all is shown at this level, not at minus infinity.
_LOWEST = 1e-10


@dataclass(frozen=True, slots=True, kw_only=True)
class InputLevel:
    """One input of a recording.

    Attributes
    ----------
    channel : int
        Counted from 1.
    peak_dbfs : float
        dB re full scale, of the largest sample; -200 where there is none.
    rms_dbfs : float
        dB re the rms of a sine that touches full scale (AES17-2020, 3.12.3); -200 where there is
        none.
    overload : Overload
        What was found at the rails.
    """

    channel: int
    peak_dbfs: float
    rms_dbfs: float
    overload: Overload

    @property
    def headroom_db(self) -> float:
        """How much higher, in dB, the input could have gone."""
        return -self.peak_dbfs


def levels(samples: Samples, *, channels: tuple[int, ...]) -> tuple[InputLevel, ...]:
    """Look at the inputs that matter.

    Parameters
    ----------
    samples : (n, inputs) float32 array
        What came in, full-scale units.
    channels : tuple of int
        Counted from 1.

    Returns
    -------
    tuple of InputLevel, in the order of ``channels``.

    Raises
    ------
    HardwareError
        No such channel.
    """
    there = samples.shape[1]
    for channel in channels:
        if not 1 <= channel <= there:
            raise HardwareError(f"levels: no such input: given {channel}, allowed 1 to {there}")
    return tuple(_level(samples[:, channel - 1], channel=channel) for channel in channels)


def _level(samples: Samples, *, channel: int) -> InputLevel:
    peak = float(np.abs(samples).max(initial=0.0))
    square = float(np.mean(np.square(samples, dtype=np.float64))) if samples.size else 0.0
    return InputLevel(
        channel=channel,
        peak_dbfs=_db(peak),
        rms_dbfs=_db(math.sqrt(2 * square)),
        overload=overload(samples),
    )


def _db(ratio: float) -> float:
    return 20 * math.log10(max(ratio, _LOWEST))
