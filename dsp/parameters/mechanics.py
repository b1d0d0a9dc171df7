"""From one absolute mass to all the others: what every method of finding it has in common.

With fs, Qms, Re and Res from the fit and Mms from the method, all in SI (R. H. Small, J. Audio Eng.
Soc. 20 (1972) 383):

    Cms = 1 / (ws^2 Mms)        Rms = ws Mms / Qms          Bl^2 = Rms Res
    Vas = rho c^2 Sd^2 Cms      eta0 = rho / (2 pi c) (Bl Sd / Mms)^2 / Re
    level at 1 m in half space = 10 lg(eta0 P rho c / (2 pi (20 µPa)^2))

with P = 1 W, or (2.83 V)^2 / Re.

Mmd is Mms less the air that moves with the piston at low frequencies: 8/3 rho a^3 a side in a
baffle, 4/3 rho a^3 a side without one (L. L. Beranek, Acoustics, 1954, ch. 5).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats
from dsp.parameters.estimates import Estimates, Inputs, estimates
from dsp.parameters.fit import LumpedFit
from dsp.parameters.fit_doubts import Doubt
from dsp.parameters.resonance import Resonance, resonance
from dsp.parameters.small_signal import (
    SMALL_SIGNAL,
    joint,
    small_signal_doubts,
    small_signal_how,
    small_signal_rows,
)
from dsp.parameters.surroundings import Mounting, Surroundings

MECHANICAL = ("mms_g", "cms_mm_per_n", "rms_kg_per_s", "bl_tm")
ACOUSTICAL = ("sd_cm2", "mmd_g", "vas_l", "eta0_percent", "reference_1w_db", "reference_2v83_db")
_REFERENCE_PA, _REFERENCE_V = 20e-6, 2.83
_AIR_LOAD: dict[Mounting, float] = {"baffle": 16 / 3, "free": 8 / 3}  # times rho a^3, both sides


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Around:
    """Area and air as rows of inputs: one value, or one for each draw; m2, kg/m3, m/s."""

    sd_m2: Floats | None
    density: Floats
    speed: Floats
    mounting: Mounting


def around_inputs(surroundings: Surroundings) -> Inputs:
    """Pack air and area, logarithms: density, speed and, where it is known, the area.

    Parameters
    ----------
    surroundings : Surroundings
        Where the unit moves.

    Returns
    -------
    Inputs, 2 or 3 of them.
    """
    known = surroundings.air
    mean = [np.log(known.air.density_kg_per_m3), np.log(known.air.speed_m_per_s)]
    covariance = np.zeros((3, 3))
    covariance[:2, :2] = known.covariance
    if surroundings.sd_m2 is None:
        return Inputs(mean=np.array(mean), covariance=covariance[:2, :2])
    covariance[2, 2] = surroundings.sd_m2.relative**2
    return Inputs(mean=np.array([*mean, surroundings.sd_m2.log]), covariance=covariance)


def around(rows: Floats, *, surroundings: Surroundings) -> Around:
    """Unpack what ``around_inputs`` packed.

    Parameters
    ----------
    rows : (2 or 3, ...) array
        Of the inputs.
    surroundings : Surroundings
        Whose.

    Returns
    -------
    Around
    """
    return Around(
        sd_m2=np.exp(rows[2]) if surroundings.sd_m2 is not None else None,
        density=np.exp(rows[0]),
        speed=np.exp(rows[1]),
        mounting=surroundings.mounting,
    )


def mechanical_rows(at: Resonance, *, mms_kg: Floats, air: Around) -> list[Floats]:
    """Compute ``MECHANICAL`` and, where the area is known, ``ACOUSTICAL``.

    Parameters
    ----------
    at : Resonance
        Of the unit by itself.
    mms_kg : array
        kg, moving mass with its air.
    air : Around
        Area and air.

    Returns
    -------
    list of arrays, each figure in its unit.
    """
    cms = 1 / (at.ws**2 * mms_kg)
    rms = at.ws * mms_kg / at.qms
    bl = np.sqrt(rms * at.res_ohm)
    out = [1e3 * mms_kg, 1e3 * cms, rms, bl]
    if air.sd_m2 is None:
        return out
    load = _AIR_LOAD[air.mounting] * air.density * (air.sd_m2 / np.pi) ** 1.5
    vas = air.density * air.speed**2 * air.sd_m2**2 * cms
    push = bl * air.sd_m2 / mms_kg
    eta0 = air.density / (2 * np.pi * air.speed) * push**2 / at.re_ohm
    square = eta0 * air.density * air.speed / (2 * np.pi * _REFERENCE_PA**2)
    watt = 10 * np.log10(square)
    volt = 10 * np.log10(square * _REFERENCE_V**2 / at.re_ohm)
    area = 1e4 * air.sd_m2
    return [*out, area, 1e3 * (mms_kg - load), 1e3 * vas, 100 * eta0, watt, volt]


# From the resonances of all takes, what is around and the method's own inputs to Mms, kg.
MassRule = Callable[[Sequence[Resonance], Around, Floats], Floats]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Method:
    """One way to the moving mass.

    Attributes
    ----------
    words : str
        What stands beside each figure.
    fits : tuple of LumpedFit
        The unit by itself, then the unit with whatever the method does to it.
    own : Inputs
        What else the method takes.
    mass : callable
        See ``MassRule``.
    doubts : tuple of str
        Sentences on what speaks against the mass.
    """

    words: str
    fits: tuple[LumpedFit, ...]
    own: Inputs
    mass: MassRule
    doubts: tuple[str, ...] = ()


def absolute(method: Method, *, surroundings: Surroundings, le_hz: float) -> Estimates:
    """Find all figures of a unit by one method.

    Parameters
    ----------
    method : Method
        How the moving mass is found.
    surroundings : Surroundings
        Where the unit moves, with its area where that is known.
    le_hz : float
        Hz, where the inductance is stated.

    Returns
    -------
    Estimates of ``SMALL_SIGNAL``, ``MECHANICAL`` and, with an area, ``ACOUSTICAL``.
    """
    first = method.fits[0]
    circuits = [fit.circuit for fit in method.fits]
    place = around_inputs(surroundings)
    inputs = joint(method.fits, more=_behind(place, method.own))
    names = (*SMALL_SIGNAL, *MECHANICAL, *(ACOUSTICAL if surroundings.sd_m2 else ()))

    def rule(rows: Floats) -> Floats:
        at, takes = 0, []
        for circuit in circuits:
            takes.append(resonance(circuit, rows[at : at + len(circuit.names)]))
            at += len(circuit.names)
        air = around(rows[at : at + place.mean.size], surroundings=surroundings)
        mms_kg = method.mass(takes, air, rows[at + place.mean.size :])
        electrical = small_signal_rows(circuits[0], rows[: len(circuits[0].names)], le_hz=le_hz)
        return np.concatenate([electrical, mechanical_rows(takes[0], mms_kg=mms_kg, air=air)])

    scaled = (*MECHANICAL, *ACOUSTICAL)
    against = [one.reason for one in first.doubts if one.concerns("fs_hz")]
    against += [
        f"{method.words}: {one.reason}"
        for fit in method.fits[1:]
        for one in fit.doubts
        if one.concerns("fs_hz")
    ]
    against += method.doubts
    return estimates(
        rule,
        names=names,
        inputs=inputs,
        how=(
            *small_signal_how(first, le_hz=le_hz),
            *[method.words] * (len(names) - len(SMALL_SIGNAL)),
        ),
        doubts=(
            *small_signal_doubts(first, le_hz=le_hz),
            *(Doubt(reason=one, about=scaled) for one in against),
        ),
    )


def _behind(first: Inputs, second: Inputs) -> Inputs:
    split, size = first.mean.size, first.mean.size + second.mean.size
    covariance = np.zeros((size, size))
    covariance[:split, :split], covariance[split:, split:] = first.covariance, second.covariance
    return Inputs(mean=np.concatenate([first.mean, second.mean]), covariance=covariance)
