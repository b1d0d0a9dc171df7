"""A voltmeter at the rig's jacks while a sine is played: volts that a person would type."""

import math
from typing import Literal

from hardware.chain.schema import Chain
from hardware.chain.virtual_schema import VirtualMeter
from hardware.virtual.in_truth import in_truth

Place = Literal["output jack", "amplifier"]


def shown_volts(chain: Chain, *, peak: float, place: Place) -> float:
    """Read the meter.

    Parameters
    ----------
    chain : Chain
        Of the rig, as written; what its ``[virtual.truth]`` knows better holds.
    peak : float
        Of the sine that is played, full-scale units.
    place : str
        ``output jack``, or ``amplifier`` for across unit and sense resistor.

    Returns
    -------
    float, V rms, off by what the meter shows too much, to a whole step of its last digit.
    """
    drive = in_truth(chain).output.drive
    meter = chain.virtual.voltmeter if chain.virtual else VirtualMeter()
    volts = peak / math.sqrt(2) * drive.full_scale_v
    if place == "amplifier":
        volts *= abs(drive.amplifier_gain)
    volts *= 1 + meter.off_percent / 100
    step = meter.resolution_v
    return round(volts / step) * step if step else volts
