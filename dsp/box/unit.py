"""The drive unit that goes into a box: its small-signal parameters and what follows from them."""

import math
from dataclasses import dataclass

import numpy as np

from dsp.acoustic.air import Air
from dsp.arrays import Complexes, Floats
from dsp.errors import DspError

UNCERTAIN = ("fs_hz", "qms", "qes", "vas_m3", "sd_m2", "re_ohm")


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxUnit:
    """Six independent parameters, the coil's inductance, and what the unit can take.

    Attributes
    ----------
    fs_hz, qms, qes : float
        Hz, and quality factors, of the unit as it will be mounted: the air that moves with its
        diaphragm included.
    vas_m3 : float
        m3, in the air that the prediction is made for.
    sd_m2 : float
        m2, half of the surround included.
    re_ohm : float
        ohm, of the coil at the temperature that the prediction is made for.
    le_h : float
        H, in series.
    pairs : tuple of (H, ohm)
        Lossy inductances in series: a coil beside a resistor each.
    semi : (float, float)
        K in ohm s^b and b of a part K (jw)^b in series; K = 0: none.
    xmax_m : float or None
        m, peak, one way; None where nobody has said it.
    rated_power_w : float or None
        W; None where nobody has said it.

    Raises
    ------
    DspError
        What must be above 0 is not.
    """

    fs_hz: float
    qms: float
    qes: float
    vas_m3: float
    sd_m2: float
    re_ohm: float
    le_h: float = 0.0
    pairs: tuple[tuple[float, float], ...] = ()
    semi: tuple[float, float] = (0.0, 0.5)
    xmax_m: float | None = None
    rated_power_w: float | None = None

    def __post_init__(self) -> None:
        for name in (*UNCERTAIN, "xmax_m", "rated_power_w"):
            given = getattr(self, name)
            if given is not None and not 0 < given < math.inf:
                raise DspError("BoxUnit", f"{name} not positive", given=given, allowed="above 0")
        if not 0 <= self.le_h < math.inf:
            raise DspError("BoxUnit", "le_h negative", given=self.le_h, allowed="from 0")

    @property
    def qts(self) -> float:
        """Total quality factor, driven from no resistance."""
        return self.qms * self.qes / (self.qms + self.qes)

    @property
    def radius_m(self) -> float:
        """Radius of a disc of the same area, m."""
        return math.sqrt(self.sd_m2 / math.pi)

    def qts_with(self, source_ohm: float) -> float:
        """Find the total quality factor behind amplifier and leads.

        Parameters
        ----------
        source_ohm : float
            ohm, in series with the coil.

        Returns
        -------
        float.
        """
        qes = self.qes * (self.re_ohm + source_ohm) / self.re_ohm
        return self.qms * qes / (self.qms + qes)

    def coil_ohm(self, frequency_hz: Floats) -> Complexes:
        """Find the impedance of the coil at rest.

        Parameters
        ----------
        frequency_hz : (m,) array
            Hz, above 0.

        Returns
        -------
        (m,) complex array, ohm.
        """
        s = np.asarray(2j * np.pi * frequency_hz)
        ohm = np.full(s.shape, self.re_ohm, dtype=np.complex128)
        ohm += s * self.le_h
        for henry, beside in self.pairs:
            ohm += s * henry * beside / (s * henry + beside)
        if self.semi[0]:
            ohm += self.semi[0] * s ** self.semi[1]
        return ohm


@dataclass(frozen=True, slots=True, kw_only=True)
class Mechanics:
    """Masses, springs and motor that the parameters stand for.

    Attributes
    ----------
    bl_tm, mms_kg, cms_m_per_n, rms_kg_per_s : float
        T m, kg, m/N, kg/s.
    """

    bl_tm: float
    mms_kg: float
    cms_m_per_n: float
    rms_kg_per_s: float


def mechanics(unit: BoxUnit, *, air: Air) -> Mechanics:
    """Turn a unit's parameters back into what moves.

    Parameters
    ----------
    unit : BoxUnit
        With ``vas_m3`` stated for the same air.
    air : Air
        Density and speed of sound.

    Returns
    -------
    Mechanics (R. H. Small, J. Audio Eng. Soc. 20 (1972) 383).
    """
    stiff_pa = air.density_kg_per_m3 * air.speed_m_per_s**2
    omega = 2 * math.pi * unit.fs_hz
    compliance = unit.vas_m3 / (stiff_pa * unit.sd_m2**2)
    mass = 1 / (omega**2 * compliance)
    return Mechanics(
        bl_tm=math.sqrt(omega * mass * unit.re_ohm / unit.qes),
        mms_kg=mass,
        cms_m_per_n=compliance,
        rms_kg_per_s=omega * mass / unit.qms,
    )


def passband_pa_per_v(unit: BoxUnit, *, air: Air, distance_m: float = 1.0) -> float:
    """Find the pressure that the response levels off at, with a coil that had no inductance.

    Parameters
    ----------
    unit : BoxUnit
        Its parameters.
    air : Air
        Density and speed of sound.
    distance_m : float
        m, in half space.

    Returns
    -------
    float, Pa/V: rho Bl Sd / (2 pi r Re Mms), which is the reference efficiency (Small 1972) said
    as a pressure.
    """
    moving = mechanics(unit, air=air)
    push = moving.bl_tm * unit.sd_m2 / (unit.re_ohm * moving.mms_kg)
    return air.density_kg_per_m3 * push / (2 * math.pi * distance_m)
