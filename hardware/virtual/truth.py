"""What is true of a unit of the rig: closed forms at small signals, brute force at large ones."""

import math
from dataclasses import dataclass

import numpy as np

from dsp import Complexes, Floats, read_only
from dsp.acoustic.air import Air
from hardware.virtual.driver import motor
from hardware.virtual.driver_kernel import move
from hardware.virtual.radiation import radiation
from hardware.virtual.unit import DriveUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallSignal:
    """A unit at rest in closed form (R. H. Small, J. Audio Eng. Soc. 20 (1972) 383).

    Attributes
    ----------
    unit : DriveUnit
        As it is, faults included; friction is none at small signals.
    air : Air
        Around it.
    """

    unit: DriveUnit
    air: Air

    @property
    def fs_hz(self) -> float:
        """Resonance in Hz."""
        return 1 / (2 * math.pi * math.sqrt(self.unit.mms_kg * self.unit.cms_m_per_n))

    @property
    def qms(self) -> float:
        """Mechanical quality factor."""
        return math.sqrt(self.unit.mms_kg / self.unit.cms_m_per_n) / self.unit.rms_kg_per_s

    @property
    def qes(self) -> float:
        """Electrical quality factor."""
        ws = 2 * math.pi * self.fs_hz
        return ws * self.unit.mms_kg * self.unit.re_ohm / self.unit.bl_tm**2

    @property
    def qts(self) -> float:
        """Total quality factor."""
        return self.qms * self.qes / (self.qms + self.qes)

    @property
    def vas_l(self) -> float:
        """Volume of air as compliant as the suspension, litre."""
        stiff = self.air.density_kg_per_m3 * self.air.speed_m_per_s**2
        return 1000 * stiff * self.unit.sd_m2**2 * self.unit.cms_m_per_n

    @property
    def re_ohm(self) -> float:
        """Resistance of the coil, ohm."""
        return self.unit.re_ohm

    @property
    def eta0(self) -> float:
        """Efficiency in half space, a fraction."""
        push = self.unit.bl_tm * self.unit.sd_m2 / self.unit.mms_kg
        per_ohm = self.air.density_kg_per_m3 / (2 * math.pi * self.air.speed_m_per_s)
        return per_ohm * push**2 / self.unit.re_ohm

    @property
    def sensitivity_db(self) -> float:
        """Level of the flat middle for 2.83 V at 1 m, no inductance, dB re 20 µPa.

        From the efficiency; a level curve has cone modes and inductance besides.
        """
        watt = 2.83**2 / self.unit.re_ohm
        intensity = watt * self.eta0 / (2 * math.pi)
        square = intensity * self.air.density_kg_per_m3 * self.air.speed_m_per_s
        return 10 * math.log10(square / 20e-6**2)

    def mechanical(self, frequency_hz: Floats) -> Complexes:
        """Find force over velocity.

        Parameters
        ----------
        frequency_hz : (m,) array
            Hz, above 0.

        Returns
        -------
        (m,) complex array, kg/s.
        """
        s = 2j * np.pi * frequency_hz
        force: Complexes = (
            self.unit.rms_kg_per_s + s * self.unit.mms_kg + 1 / (s * self.unit.cms_m_per_n)
        )
        return force

    def impedance(self, frequency_hz: Floats) -> Complexes:
        """Find voltage over current at the terminals.

        Parameters
        ----------
        frequency_hz : (m,) array
            Hz, above 0.

        Returns
        -------
        (m,) complex array, ohm.
        """
        s = 2j * np.pi * frequency_hz
        unit = self.unit
        z = unit.re_ohm + s * unit.le_h + unit.bl_tm**2 / self.mechanical(frequency_hz)
        if unit.l2_h > 0 and unit.r2_ohm > 0:
            z = z + s * unit.l2_h * unit.r2_ohm / (s * unit.l2_h + unit.r2_ohm)
        impedance: Complexes = z
        return impedance

    def pressure_per_volt(self, frequency_hz: Floats, *, distance_m: float = 1.0) -> Complexes:
        """Find pressure on the axis over voltage across the terminals.

        Parameters
        ----------
        frequency_hz : (m,) array
            Hz, above 0.
        distance_m : float
            m.

        Returns
        -------
        (m,) complex array, Pa/V, whole phase: the way through the air included.
        """
        z = self.impedance(frequency_hz) * self.mechanical(frequency_hz)
        acceleration = 2j * np.pi * frequency_hz * self.unit.bl_tm / z
        pressure: Complexes = acceleration * radiation(
            self.unit, frequency_hz=frequency_hz, distance_m=distance_m, air=self.air
        )
        return pressure


def small_signal(unit: DriveUnit, *, air: Air) -> SmallSignal:
    """State what is true of a unit at small signals.

    Parameters
    ----------
    unit : DriveUnit
        As ``bench_of(snapshot).unit`` gives it for a chain, or a shipped one.
    air : Air
        As ``bench_of(snapshot).air``.

    Returns
    -------
    SmallSignal
    """
    return SmallSignal(unit=unit, air=air)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SteadyState:
    """Orders 1 to k of a unit driven by one sine long enough.

    Phases are relative to the sine as in ``dsp.response.harmonics.Harmonics``: a channel that
    repeats the drive has a first order that is real.

    Attributes
    ----------
    pressure_pa : (k,) complex array
        Pa rms at the distance asked for.
    current_a : (k,) complex array
        A rms.
    peak_m : float
        m, largest displacement.
    drift : float
        Largest difference between the last two periods, relative to the first order's current;
        what is left of settling, or of chance.
    """

    pressure_pa: Complexes
    current_a: Complexes
    peak_m: float
    drift: float

    def __post_init__(self) -> None:
        for name in ("pressure_pa", "current_a"):
            object.__setattr__(self, name, read_only(getattr(self, name)))


def steady_state(
    unit: DriveUnit,
    *,
    frequency_hz: float,
    source_v_rms: float,
    orders: int,
    air: Air,
    distance_m: float = 1.0,
    resistor_ohm: float = 0.0,
    settle_s: float = 1.0,
) -> SteadyState:
    """Integrate a sine for seconds, then read one period.

    Steps of 0.5 us at most, a whole number to a period, so that the period's spectrum needs no
    window; nothing of the rig's sample rates and filters is in it.

    Parameters
    ----------
    unit : DriveUnit
        With its friction; what is only heard of defects is not in it.
    frequency_hz, source_v_rms : float
        Hz, and V rms across unit and resistor.
    orders : int
        How many orders.
    air : Air
        Around it.
    distance_m, resistor_ohm, settle_s : float
        m; ohm in the return leg; s before the period that is read.

    Returns
    -------
    SteadyState
    """
    steps = 2 * math.ceil(1 / (frequency_hz * 1e-6))
    phase = np.arange(2 * steps + 2) * (np.pi / steps)
    source = math.sqrt(2) * source_v_rms * np.sin(phase)
    out, before, state = np.empty((4, steps)), np.empty((4, steps)), np.zeros(4)
    plain = motor(unit, resistor_ohm=resistor_ohm)
    for _ in range(math.ceil(settle_s * frequency_hz) + 2):
        before, out = out, before
        move(plain, state, source, 1 / (frequency_hz * steps), out)
    lines = np.fft.rfft(out[:2], axis=1)[:, 1 : orders + 1] * (math.sqrt(2) / steps)
    n = np.arange(1.0, orders + 1.0)
    # The first sample read is one step into the period, and a sine's own line is turned by -90°.
    lines = lines * np.exp(-2j * np.pi * n / steps) * 1j**n
    heard = radiation(unit, frequency_hz=n * frequency_hz, distance_m=distance_m, air=air)
    return SteadyState(
        pressure_pa=lines[0] * heard,
        current_a=lines[1],
        peak_m=float(np.abs(out[3]).max()),
        drift=float(np.abs(out[1] - before[1]).max() / (math.sqrt(2) * np.abs(lines[1, 0]))),
    )
