"""Impedance by Ohm's law on the fundamental, with what noise and chain leave uncertain."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Complexes, Floats, read_only
from dsp.curve import Curve, ValidRange
from dsp.errors import DspError
from dsp.response.harmonics import Harmonics
from dsp.response.same_points import check_same_points


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Impedance:
    """Complex impedance of the unit over frequency.

    All uncertainties are standard ones of the natural logarithm of ``value``: the real part is
    the relative error of the magnitude, the imaginary part the error of the phase in rad.

    Attributes
    ----------
    frequency_hz : (m,) array
        Hz.
    value : (m,) complex array
        ohm; NaN where it could not be read.
    relative_noise : (m,) array
        From the recording's noise, independent from point to point; the same for either part.
    relative_chain, phase_chain_rad : (m,) array
        From the links' calibrations and the alignment, common to all points.
    """

    frequency_hz: Floats
    value: Complexes
    relative_noise: Floats
    relative_chain: Floats
    phase_chain_rad: Floats

    def __post_init__(self) -> None:
        for name in ("frequency_hz", "value", "relative_noise", "relative_chain"):
            object.__setattr__(self, name, read_only(getattr(self, name)))
        object.__setattr__(self, "phase_chain_rad", read_only(self.phase_chain_rad))

    @property
    def noise_ohm(self) -> Floats:
        """Standard deviation of the real, equally of the imaginary part from noise, (m,), ohm."""
        noise: Floats = self.relative_noise * np.abs(self.value)
        return noise


@dataclass(frozen=True, slots=True, kw_only=True)
class Leads:
    """What lies between the tap of the voltage and the unit.

    Attributes
    ----------
    ohm, standard_ohm : float
        ohm; value and standard uncertainty.
    """

    ohm: float = 0.0
    standard_ohm: float = 0.0


NO_LEADS = Leads()


def impedance(
    voltage: Harmonics,
    *,
    current: Harmonics,
    relative_uncertainty: float = 0.0,
    delay_uncertainty_s: float = 0.0,
    leads: Leads = NO_LEADS,
) -> Impedance:
    """Divide the voltage at the tap by the current, and take the leads behind it off.

    Parameters
    ----------
    voltage, current : Harmonics
        V at the tap and A through the unit, from two channels of their own, at the same points.
    relative_uncertainty : float
        Standard uncertainty of the ratio from the links: gains and full scales of both channels
        and the resistor, added in power (JCGM 100:2008, 5.1.6).
    delay_uncertainty_s : float
        s, standard uncertainty of the time between the two channels.
    leads : Leads
        Between tap and unit.

    Returns
    -------
    Impedance; the channels' noise counts as independent.
    """
    return impedance_from_source(
        voltage,
        current=current,
        resistor_ohm=0.0,
        gain_uncertainty=relative_uncertainty,
        delay_uncertainty_s=delay_uncertainty_s,
        leads=leads,
    )


def impedance_from_source(
    source: Harmonics,
    *,
    current: Harmonics,
    resistor_ohm: float,
    gain_uncertainty: float = 0.0,
    resistor_uncertainty: float = 0.0,
    delay_uncertainty_s: float = 0.0,
    leads: Leads = NO_LEADS,
) -> Impedance:
    """Divide source by current, take resistor and leads off: Z = S / I - R - r.

    The voltage across the unit, S - R I, and I share the noise of I, and S, I and R share their
    scale errors; written as above each enters once, and no correlation is forgotten
    (JCGM 100:2008, 5.2, and its example H.2).

    Parameters
    ----------
    source : Harmonics
        V across unit and resistor.
    current : Harmonics
        A, on the same time as ``source``.
    resistor_ohm : float
        ohm. The current was found with the same value.
    gain_uncertainty : float
        Relative standard uncertainty of what scales S over the sense voltage: output, amplifier
        and loopback against the sense input.
    resistor_uncertainty : float
        Relative standard uncertainty of the resistor. It scales all of Z, because Z is
        R (S / V_sense - 1).
    delay_uncertainty_s : float
        s, standard uncertainty of the time between the two.
    leads : Leads
        Between resistor or tap and unit.

    Returns
    -------
    Impedance

    Raises
    ------
    DspError
        Points that differ, or a negative resistor.
    """
    if resistor_ohm < 0:
        raise DspError("impedance", "resistor_ohm negative", given=resistor_ohm, allowed="0 up")
    check_same_points("impedance", first=source, second=current)
    ratio = _ratio(source, current)
    value = ratio.value - resistor_ohm - leads.ohm
    with np.errstate(divide="ignore", invalid="ignore"):  # no current is told as no number
        leverage = ratio.value / value  # of a relative error of S / I on Z
        behind = leads.standard_ohm / value
    turn = 2 * np.pi * source.frequency_hz * delay_uncertainty_s
    return Impedance(
        frequency_hz=source.frequency_hz,
        value=value,
        relative_noise=ratio.relative_noise * np.abs(leverage),
        relative_chain=np.sqrt(
            (gain_uncertainty * leverage.real) ** 2
            + resistor_uncertainty**2
            + (turn * leverage.imag) ** 2
            + behind.real**2
        ),
        phase_chain_rad=np.sqrt(
            (gain_uncertainty * leverage.imag) ** 2 + (turn * leverage.real) ** 2 + behind.imag**2
        ),
    )


def magnitude(found: Impedance, *, valid: ValidRange) -> Curve:
    """Show the magnitude of an impedance.

    Parameters
    ----------
    found : Impedance
        What was found.
    valid : ValidRange
        Where the current and the voltage stand above their noise.

    Returns
    -------
    Curve in ohm, uncertainty expanded, k = 2.
    """
    size = np.abs(found.value)
    relative = np.hypot(found.relative_noise, found.relative_chain)
    return Curve(
        frequency_hz=found.frequency_hz,
        value=size,
        unit="ohm",
        valid=valid,
        uncertainty=2 * relative * size,
        how="voltage across the unit over current through it",
    )


def phase(found: Impedance, *, valid: ValidRange) -> Curve:
    """Show the phase of an impedance.

    Parameters
    ----------
    found : Impedance
        What was found.
    valid : ValidRange
        Where the current and the voltage stand above their noise.

    Returns
    -------
    Curve in deg, -180 to 180, uncertainty expanded, k = 2; a passive unit stays within 90.
    """
    spread = np.hypot(found.relative_noise, found.phase_chain_rad)
    return Curve(
        frequency_hz=found.frequency_hz,
        value=np.degrees(np.angle(found.value)),
        unit="deg",
        valid=valid,
        uncertainty=2 * np.degrees(spread),
        how="phase of the voltage across the unit against the current through it",
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Ratio:
    value: Complexes
    relative_noise: Floats


def _ratio(top: Harmonics, bottom: Harmonics) -> _Ratio:
    with np.errstate(divide="ignore", invalid="ignore"):
        value = top.fundamental / bottom.fundamental
        noise = np.hypot(
            top.noise[0] / np.abs(top.fundamental), bottom.noise[0] / np.abs(bottom.fundamental)
        )
    return _Ratio(value, noise)
