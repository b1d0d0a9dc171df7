"""A resistor of known value in the unit's place, and what the chain read on it."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Complexes, Floats
from dsp.errors import DspError
from dsp.response.harmonics import Harmonics
from dsp.response.same_points import check_same_points

REFERENCE_C = 23.0  # at which certificates state resistors here (IEC 60068-1: 15 to 35 °C)


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownResistor:
    """A resistor with its certificate.

    Attributes
    ----------
    ohm : float
        ohm at 23 °C; 0 for a short.
    uncertainty_percent : float
        %, k = 2.
    ppm_per_k : float
        Size of its temperature coefficient, 1e-6 a kelvin; of either sign.
    inductance_h : float
        H, the most that it has; a microhenry is a resistor that is not wound, with its leads.
    name : str
        What is written on it.

    Raises
    ------
    DspError
        A negative value or uncertainty.
    """

    ohm: float
    uncertainty_percent: float
    ppm_per_k: float = 0.0
    inductance_h: float = 1e-6
    name: str = ""

    def __post_init__(self) -> None:
        for name in ("ohm", "uncertainty_percent", "ppm_per_k", "inductance_h"):
            value = getattr(self, name)
            if not 0 <= value < np.inf:
                raise DspError("KnownResistor", f"{name} outside", given=value, allowed="from 0")

    def standard_ohm(self, *, temperature_c: float) -> float:
        """Return its standard uncertainty, k = 1.

        Parameters
        ----------
        temperature_c : float
            °C, at which it was used.

        Returns
        -------
        float, ohm; the coefficient is known by its size alone, and counts as a rectangular one
        (JCGM 100:2008, 4.3.7).
        """
        warmer = abs(temperature_c - REFERENCE_C) * self.ppm_per_k * 1e-6 / np.sqrt(3)
        return float(self.ohm * np.hypot(self.uncertainty_percent / 200, warmer))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ChannelPair:
    """What the voltage and the sense channel held at the same moment.

    Attributes
    ----------
    voltage : Harmonics
        V, from the channel that reads the voltage across the unit.
    sense : Harmonics
        V across the sense resistor, by the gain and the full scale that the chain states.
    clipped : bool
        Whether either ran into its rail.

    Raises
    ------
    DspError
        Channels that were not read at the same frequencies.
    """

    voltage: Harmonics
    sense: Harmonics
    clipped: bool = False

    def __post_init__(self) -> None:
        check_same_points("ChannelPair", first=self.voltage, second=self.sense)

    @property
    def frequency_hz(self) -> Floats:
        """Hz, (m,)."""
        return self.voltage.frequency_hz

    @property
    def ratio(self) -> Complexes:
        """Voltage over sense voltage, (m,); NaN where nothing was sensed."""
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio: Complexes = self.voltage.fundamental / self.sense.fundamental
        return ratio

    @property
    def relative_noise(self) -> Floats:
        """Standard deviation of the real, equally of the imaginary part of ln ``ratio``, (m,)."""
        with np.errstate(divide="ignore", invalid="ignore"):
            noise: Floats = np.hypot(
                self.voltage.noise[0] / np.abs(self.voltage.fundamental),
                self.sense.noise[0] / np.abs(self.sense.fundamental),
            )
        return noise


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ResistorReading:
    """What both channels held while a known resistor stood in the unit's place.

    Attributes
    ----------
    resistor : KnownResistor
        The resistor.
    pair : ChannelPair
        What was read.
    """

    resistor: KnownResistor
    pair: ChannelPair
