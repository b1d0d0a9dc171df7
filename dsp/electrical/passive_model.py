"""What a passive drive unit's impedance can look like above its resonance: a family of circuits.

Everything here is without dimension: x is frequency over the top of the band, impedance is over
its median, a delay is the phase in rad that it makes at the top of the band.
"""

import math
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Complexes, Floats
from dsp.gauss_newton import Bounds

_DELAY, _RESISTANCE, _INDUCTANCE, _MOTION = range(4)
_LINEAR_CORE = 4  # delay and three parts of which the impedance is a sum; two logarithms follow
CORE = 6
_HIGHEST_CORNER = 20.0  # times the top of the band: beyond, a lossy inductance is a plain one
_POWER = (0.3, 0.97)
DULLEST_MODE_Q = 2.0  # duller ones would pass for eddy currents, and hide them
_SHARPEST_MODE_Q = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Structure:
    """Which circuit: resistance, inductance and motion, and what stands in series with them.

    Attributes
    ----------
    pairs : int
        Coils with a resistor across each: eddy currents in lumps.
    fractional : bool
        A part K (j w)^b: eddy currents spread through the pole piece.
    capped : bool
        The fractional part has an inductance across it: what it is at low frequencies, before
        the currents are crowded to the skin. Only together with ``fractional``.
    modes : int
        Resonances of the cone, each of them a parallel resonant circuit.
    """

    pairs: int = 0
    fractional: bool = False
    capped: bool = False
    modes: int = 0

    @property
    def parameters(self) -> int:
        """Length of the vector of parameters."""
        spread = 2 * self.fractional + self.capped
        return CORE + 2 * self.pairs + spread + 3 * self.modes

    def holds(self, other: "Structure") -> bool:
        """Tell whether another structure is this one with parts left out.

        Parameters
        ----------
        other : Structure
            The simpler one.

        Returns
        -------
        bool, False for itself.
        """
        return (
            self != other
            and self.pairs >= other.pairs
            and self.fractional >= other.fractional
            and self.capped >= other.capped
            and self.modes >= other.modes
        )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Problem:
    """The data, without dimension.

    Attributes
    ----------
    jx : (n,) complex array
        j f / f_top.
    log_jx : (n,) complex array
        Its logarithm.
    ratio : (n,) complex array
        Source over current, over its median magnitude: delayed impedance, resistor included.
    weight : (n,) array
        1 over the relative standard deviation of the real, equally imaginary part of ``ratio``.
    resonance : float
        fs / f_top.
    """

    jx: Complexes
    log_jx: Complexes
    ratio: Complexes
    weight: Floats
    resonance: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Evaluated:
    """An impedance, (n,), and d ln(delayed impedance) / d parameters, (k, n)."""

    impedance: Complexes
    slope: Complexes


def bounds(structure: Structure, *, problem: Problem) -> Bounds:
    """Tell what the parameters of a passive circuit may be.

    Parameters
    ----------
    structure : Structure
        Which circuit.
    problem : Problem
        Whose band and resonance.

    Returns
    -------
    Bounds
    """
    inf, lowest, fs = np.inf, float(problem.jx[0].imag), problem.resonance
    spans = [(-inf, inf), (1e-6, inf), (0.0, inf), (0.0, inf)]
    spans += [(np.log(0.02 * fs), np.log(3 * fs)), (np.log(0.8 * fs), np.log(1.25 * fs))]
    spans += [(0.0, inf), (-np.log(_HIGHEST_CORNER), np.log(4 / lowest))] * structure.pairs
    spans += [(0.0, inf), _POWER] * structure.fractional
    spans += [(0.0, inf)] * structure.capped
    sharpness = (np.log(DULLEST_MODE_Q), np.log(_SHARPEST_MODE_Q))
    spans += [(0.0, inf), sharpness, (np.log(lowest), 0.2)] * structure.modes
    low, high = np.array(spans).T
    return Bounds(low=low, high=high)


def evaluate(structure: Structure, *, parameters: Floats, problem: Problem) -> Evaluated:
    """Compute a circuit's impedance and how each parameter moves the delayed one's logarithm.

    Parameters
    ----------
    structure : Structure
        Which circuit.
    parameters : (k,) array
        Delay, resistance, inductance, strength of the motion, logarithms of its damping and its
        resonance; then for each pair inductance and log of its time constant; for the fractional
        part K and b, and K over the inductance across it; for each mode strength, log Q and log
        of its frequency.
    problem : Problem
        Where.

    Returns
    -------
    Evaluated
    """
    jx, p = problem.jx, parameters
    slope = np.empty((structure.parameters, jx.size), dtype=np.complex128)
    slope[_DELAY], slope[_RESISTANCE], slope[_INDUCTANCE] = jx, 1.0, jx
    damping, square = math.exp(p[4]), math.exp(2 * p[5])
    inverse = 1 / (jx * jx + jx * damping + square)
    motion = jx * inverse
    pull = p[_MOTION] * motion * inverse
    slope[_MOTION], slope[4], slope[5] = motion, -pull * jx * damping, -pull * (2 * square)
    z = p[_RESISTANCE] + p[_INDUCTANCE] * jx + p[_MOTION] * motion
    at = CORE
    for _ in range(structure.pairs):
        time = math.exp(p[at + 1])
        part = jx / (1 + jx * time)
        slope[at], slope[at + 1] = part, -p[at] * time * part * part
        z = z + p[at] * part
        at += 2
    if structure.fractional:
        part = np.exp(problem.log_jx * p[at + 1])
        cap = p[at + 2] if structure.capped else 0.0
        shunt = 1 / (1 + cap * part / jx)
        slope[at], slope[at + 1] = part * shunt, p[at] * part * problem.log_jx * shunt**2
        if structure.capped:
            slope[at + 2] = -p[at] * part * part / jx * shunt**2
        z = z + p[at] * part * shunt
        at += 2 + structure.capped
    for _ in range(structure.modes):
        centre = math.exp(p[at + 2])
        damping, square = centre * math.exp(-p[at + 1]), centre * centre
        inverse = 1 / (jx * jx + jx * damping + square)
        part = jx * inverse
        pull = p[at] * part * inverse
        slope[at], slope[at + 1] = part, pull * jx * damping
        slope[at + 2] = -pull * (jx * damping + 2 * square)
        z = z + p[at] * part
        at += 3
    slope[1:] *= 1 / z
    return Evaluated(impedance=z, slope=slope)
