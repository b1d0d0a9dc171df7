"""All figures from one take: the pressure says how hard the motor pushes, no mass is stuck on.

Where the cone moves as a piston and is small against the wave, p = rho Sd a / (2 pi r) in half
space, a its acceleration. Motion is Bl I over the mechanical impedance, and that over Bl^2 is the
motional impedance which the fit has told. So

    Bl = rho Sd / (2 pi r) w Res h(w) / |p / I|,      Mms = Qms Bl^2 / (ws Res)

with Res h the motional impedance's magnitude. Close to the dust cap r is a / (2 g), a the piston's
radius and g = sqrt(1 + (z/a)^2) - z/a for a microphone z before its middle (D. B. Keele, J. Audio
Eng. Soc. 22 (1974) 154; g in closed form from a piston's pressure on its axis).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from dsp.arrays import Bools, Complexes, Floats, read_only
from dsp.errors import DspError
from dsp.parameters.estimates import Estimates, Inputs
from dsp.parameters.fit import LumpedFit
from dsp.parameters.mechanics import Around, Method, absolute
from dsp.parameters.resonance import Resonance, resonance
from dsp.parameters.small_signal import LE_HZ
from dsp.parameters.surroundings import Known, Surroundings

Place = Literal["half space", "near field"]
_FROM, _TO = 1.5, 6.0  # times fs: above the stiffness, below the cone's own resonances
_WIDEST_KA = 0.5  # beyond, a piston begins to beam
_FEWEST, _FLAT = 6, 0.1  # points; relative scatter of Bl over the band that a piston may show


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PressurePerCurrent:
    """What the microphone heard for each ampere.

    Attributes
    ----------
    frequency_hz : (m,) array
        Hz.
    pa_per_a : (m,) array or complex array
        Pa/A; the phase is not used.
    relative_noise : (m,) array
        Relative standard uncertainty, independent from point to point.
    relative_chain : float
        The same from the chain, common to all points: microphone and preamplifier. What scales
        the current scales the impedance, too, and is carried there.
    distance_m : Known
        m; from the unit in half space, from the middle of the piston in the near field.
    place : str
        ``half space``: in a baffle, far against the unit; ``near field``: right before it.
    """

    frequency_hz: Floats
    pa_per_a: Floats | Complexes
    relative_noise: Floats
    relative_chain: float
    distance_m: Known
    place: Place = "half space"

    def __post_init__(self) -> None:
        for name in ("frequency_hz", "pa_per_a", "relative_noise"):
            object.__setattr__(self, name, read_only(getattr(self, name)))


def one_take(
    alone: LumpedFit,
    *,
    heard: PressurePerCurrent,
    surroundings: Surroundings,
    band_hz: tuple[float, float] | None = None,
    le_hz: float = LE_HZ,
) -> Estimates:
    """Find the absolute figures from pressure and current of one take.

    Parameters
    ----------
    alone : LumpedFit
        The unit's impedance, of the same take.
    heard : PressurePerCurrent
        What the microphone heard.
    surroundings : Surroundings
        Where the unit moves; with its area.
    band_hz : (low, high) or None
        Hz, where the cone is a piston; None: 1.5 to 6 times fs, up to ka = 0.5.
    le_hz : float
        Hz, where the inductance is stated.

    Returns
    -------
    Estimates; with a doubt where the force factor is not the same over the band.

    Raises
    ------
    DspError
        The area is not known, or fewer than six points lie in the band.
    """
    if surroundings.sd_m2 is None:
        raise DspError("one_take", "the area is not known", allowed="sd_m2")
    band = band_hz or _band(alone, surroundings=surroundings)
    inside = _inside(heard, band_hz=band)
    if (count := int(np.count_nonzero(inside))) < _FEWEST:
        allowed = f"from {_FEWEST}, {band[0]:.4g} Hz to {band[1]:.4g} Hz"
        raise DspError("one_take", "too few points of pressure", given=count, allowed=allowed)
    hz, size = heard.frequency_hz[inside], np.abs(heard.pa_per_a[inside])
    noise = heard.relative_noise[inside]
    near = heard.place == "near field"

    def mass(takes: Sequence[Resonance], air: Around, own: Floats) -> Floats:
        at = takes[0]
        area = np.ones_like(air.density) if air.sd_m2 is None else air.sd_m2
        radius = np.sqrt(area / np.pi)
        away = np.exp(own[0])
        if near:
            gap = away / radius
            away = radius / (2 * (np.sqrt(1 + gap**2) - gap))
        # The mean over the band of the logarithm of w Res h, over that of |p / I|, which is own[1].
        seen = sum(np.log(2 * np.pi * one * at.res_ohm * at.height(one)) for one in hz) / hz.size
        log_bl = np.log(air.density * area / (2 * np.pi * away)) + seen - own[1]
        moving: Floats = at.qms * np.exp(2 * log_bl) / (at.ws * at.res_ohm)
        return moving

    independent = float(np.sqrt(np.sum(noise**2))) / hz.size
    own = Inputs(
        mean=np.array([heard.distance_m.log, float(np.mean(np.log(size)))]),
        covariance=np.diag(
            [heard.distance_m.relative**2, independent**2 + heard.relative_chain**2]
        ),
    )
    method = Method(
        words=f"pressure over current, {band[0]:.4g} Hz to {band[1]:.4g} Hz, {heard.place}",
        fits=(alone,),
        own=own,
        mass=mass,
        doubts=_uneven(alone, hz=hz, size=size, noise=noise),
    )
    return absolute(method, surroundings=surroundings, le_hz=le_hz)


def _band(alone: LumpedFit, *, surroundings: Surroundings) -> tuple[float, float]:
    fs, area = alone.value("fs_hz"), surroundings.sd_m2
    top = _TO * fs
    if area is not None:
        radius = (area.value / np.pi) ** 0.5
        top = min(top, _WIDEST_KA * surroundings.air.air.speed_m_per_s / (2 * np.pi * radius))
    return _FROM * fs, float(top)


def _inside(heard: PressurePerCurrent, *, band_hz: tuple[float, float]) -> Bools:
    low, high = band_hz
    size = np.abs(heard.pa_per_a)
    inside: Bools = (heard.frequency_hz >= low) & (heard.frequency_hz <= high)
    inside &= np.isfinite(size) & (size > 0) & np.isfinite(heard.relative_noise)
    return inside


def _uneven(alone: LumpedFit, *, hz: Floats, size: Floats, noise: Floats) -> tuple[str, ...]:
    # A piston in half space gives the same force factor everywhere.
    at = resonance(alone.circuit, alone.vector)
    log_bl = np.log(hz * at.height(hz) / size)
    scatter = float(np.std(log_bl))
    if scatter < max(_FLAT, 3 * float(np.sqrt(np.mean(noise**2)))):
        return ()
    return (
        f"the force factor read from the pressure scatters by {100 * scatter:.0f} % over the band: "
        "no half space, a reflection, or a cone that does not move as one",
    )
