"""By how much one of two inputs is late, from the phase of what should be a resistor."""

import math
from dataclasses import dataclass

import numpy as np

from dsp.calibration.resistor_model import ResistorModel

_TOLD_DEG = 1.0
_AT_HZ = 20_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Skew:
    """A delay between the channels.

    Attributes
    ----------
    sense_late_s : float
        s by which the sense input lags the voltage input; an inductive known resistor looks the
        same, 1 µH in 1 ohm like 1 µs.
    uncertainty_s : float
        s, k = 2, from how far the phases lie from a straight line.
    note : str
        What it costs; empty where that is less than 1° at 20 kHz.
    """

    sense_late_s: float
    uncertainty_s: float
    note: str


def channel_skew(model: ResistorModel) -> Skew:
    """Fit a delay through the phase of the scale.

    Parameters
    ----------
    model : ResistorModel
        From known resistors.

    Returns
    -------
    Skew
    """
    known = np.isfinite(model.scale_ohm)
    omega = 2 * np.pi * model.frequency_hz[known]
    phase = np.unwrap(np.angle(model.scale_ohm[known]))
    power = float(omega @ omega)
    if power == 0:
        return Skew(sense_late_s=math.nan, uncertainty_s=math.nan, note="")
    late_s = -float(omega @ phase) / power
    left = phase + omega * late_s
    freedom = max(omega.size - 1, 1)
    spread = math.sqrt(float(left @ left) / freedom / power)
    turn_deg = 360 * _AT_HZ * late_s
    note = ""
    if abs(turn_deg) >= _TOLD_DEG:
        word = "late" if late_s > 0 else "early"
        note = (
            f"The sense input is {word} by {1e6 * abs(late_s):.3g} µs: the phase of an impedance "
            f"is off by {abs(turn_deg):.2g}° at 20 kHz. The chain file has no key for it."
        )
    return Skew(sense_late_s=late_s, uncertainty_s=2 * spread, note=note)
