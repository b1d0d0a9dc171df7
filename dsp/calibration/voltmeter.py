"""A voltmeter, and what a person read from it."""

import math
from dataclasses import dataclass

from dsp.errors import DspError


@dataclass(frozen=True, slots=True, kw_only=True)
class Voltmeter:
    """What the meter's certificate or data sheet says.

    Attributes
    ----------
    uncertainty_percent : float
        % of the reading, k = 2.
    uncertainty_v : float
        V, k = 2, added to that: what data sheets state in digits or in % of the range.
    resolution_v : float
        V, one step of the last digit.
    low_hz, high_hz : float
        Hz, between which the above holds.
    input_ohm : float
        ohm; infinite where it loads nothing.
    true_rms : bool
        False for a meter that averages and is scaled for a pure sine.

    Raises
    ------
    DspError
        A negative uncertainty, or a band that does not rise.
    """

    uncertainty_percent: float
    uncertainty_v: float = 0.0
    resolution_v: float = 0.0
    low_hz: float = 20.0
    high_hz: float = 20_000.0
    input_ohm: float = math.inf
    true_rms: bool = True

    def __post_init__(self) -> None:
        for name in ("uncertainty_percent", "uncertainty_v", "resolution_v"):
            if not 0 <= getattr(self, name) < math.inf:
                raise DspError("Voltmeter", name, given=getattr(self, name), allowed="from 0")
        if not 0 < self.low_hz < self.high_hz:
            given = f"{self.low_hz:g} to {self.high_hz:g} Hz"
            raise DspError("Voltmeter", "band does not rise", given=given)
        if not self.input_ohm > 0:
            raise DspError("Voltmeter", "input_ohm", given=self.input_ohm, allowed="above 0")

    def standard_percent(self, volts: float) -> float:
        """Return the standard uncertainty of a reading, resolution aside.

        Parameters
        ----------
        volts : float
            V.

        Returns
        -------
        float, % of the reading, k = 1; the two parts of a data sheet add up.
        """
        return (self.uncertainty_percent + 100 * self.uncertainty_v / volts) / 2

    def resolution_percent(self, volts: float) -> float:
        """Return what the last digit leaves open.

        Parameters
        ----------
        volts : float
            V.

        Returns
        -------
        float, % of the reading, k = 1: a rectangle one step wide (JCGM 100:2008, F.2.2.1).
        """
        return 100 * self.resolution_v / volts / math.sqrt(12)


@dataclass(frozen=True, slots=True, kw_only=True)
class VoltReading:
    """Volts that were read while a sine was played.

    Attributes
    ----------
    volts_rms : float
        V rms, as typed.
    peak : float
        Of the sine that was played, full-scale units.
    frequency_hz : float
        Hz.

    Raises
    ------
    DspError
        No volts, or a peak that cannot be played.
    """

    volts_rms: float
    peak: float
    frequency_hz: float

    def __post_init__(self) -> None:
        if not 0 < self.volts_rms < math.inf:
            raise DspError("VoltReading", "volts", given=self.volts_rms, allowed="above 0 V")
        if not 0 < self.peak <= 1:
            raise DspError("VoltReading", "peak", given=self.peak, allowed="above 0 to 1")
