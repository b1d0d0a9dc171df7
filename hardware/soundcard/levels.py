"""How high a capture's inputs went, and how much room they had left."""

from dataclasses import dataclass

import numpy as np

from dsp.response.overload import Overload, overload
from hardware.card import Capture
from hardware.errors import HardwareError

# An input that gave nothing at all is shown at this level, not at minus infinity.
_LOWEST = 1e-10


@dataclass(frozen=True, slots=True, kw_only=True)
class InputLevel:
    """One input of a capture.

    Attributes
    ----------
    channel : int
        Counted from 1.
    peak_dbfs : float
        dB re full scale, of the largest sample; -200 where there is none.
    overload : Overload
        What was found at the rails.
    """

    channel: int
    peak_dbfs: float
    overload: Overload

    @property
    def headroom_db(self) -> float:
        """How much higher, in dB, the input could have gone."""
        return -self.peak_dbfs


def levels(capture: Capture, *, channels: tuple[int, ...]) -> tuple[InputLevel, ...]:
    """Look at the inputs that matter.

    Parameters
    ----------
    capture : Capture
        What came in.
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
    there = capture.samples.shape[1]
    for channel in channels:
        if not 1 <= channel <= there:
            raise HardwareError(f"levels: no such input: given {channel}, allowed 1 to {there}")
    found = []
    for channel in channels:
        samples = capture.samples[:, channel - 1]
        peak = max(float(np.abs(samples).max(initial=0.0)), _LOWEST)
        found.append(
            InputLevel(
                channel=channel,
                peak_dbfs=20 * float(np.log10(peak)),
                overload=overload(samples),
            )
        )
    return tuple(found)
