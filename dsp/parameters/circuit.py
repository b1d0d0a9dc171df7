"""The lumped model of a moving-coil unit: which parts it has, its impedance, and its exact slopes.

    Z = Re + Z_L + Res d / D + bumps,   u = j f / fs,   d = 1 / Qms
    D = d - c b + u + k(u) / u,         k(u) = (1 + c^2 b^2) / (1 - c lg u),  b = pi / (2 ln 10)

Without creep c = 0 and D = d + u + 1/u, the parallel resonant circuit of R. H. Small (J. Audio Eng.
Soc. 20 (1972) 383). With it, compliance grows by the part c for each decade that frequency falls
(M. H. Knudsen, J. G. Jensen, J. Audio Eng. Soc. 41 (1993) 3). k is scaled so that fs stays the
frequency at which mass and stiffness cancel and Qms stays the quality factor there: then c b of d
is loss by creep, the rest is viscous.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from dsp.arrays import Complexes, Floats
from dsp.gauss_newton import Bounds

Inductance = Literal["none", "plain", "one pair", "two pairs", "fractional"]
INDUCTANCES: tuple[Inductance, ...] = get_args(Inductance)
CREEP_LOSS = math.pi / 2 / math.log(10)  # b above: loss factor by a creep of 1 a decade
FRACTION_HZ = 1000.0  # where the fractional part has the magnitude that is its parameter

_CORE = ("re_ohm", "fs_hz", "qms", "res_ohm")
_COIL: dict[Inductance, tuple[str, ...]] = {
    "none": (),
    "plain": ("le_h",),
    "one pair": ("le_h", "l2_h", "r2_ohm"),
    "two pairs": ("le_h", "l2_h", "r2_ohm", "l3_h", "r3_ohm"),
    "fractional": ("k_ohm", "exponent"),
}
_NOT_LOGARITHMS = frozenset({"exponent", "creep"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """Which parts a unit's impedance is made of, beside resistance and main resonance.

    Attributes
    ----------
    inductance : str
        ``none``; ``plain``: L; ``one pair``, ``two pairs``: L and in series with it one or two
        inductances with a resistor across each; ``fractional``: K (j w)^n, eddy currents spread
        through the pole piece (W. M. Leach, J. Audio Eng. Soc. 50 (2002) 442).
    creep : bool
        The suspension gives more way the slower it is moved.
    bumps : int
        Further resonances, of rim, cone, box or air, each a parallel resonant circuit.
    """

    inductance: Inductance = "one pair"
    creep: bool = False
    bumps: int = 0

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the parameters, in the order of the vector; the unit stands in each."""
        bumps = tuple(
            f"bump{n}_{part}" for n in range(1, self.bumps + 1) for part in ("ohm", "q", "hz")
        )
        return (*_CORE, *_COIL[self.inductance], *(("creep",) if self.creep else ()), *bumps)

    @property
    def words(self) -> str:
        """The circuit as a person names it."""
        coil = {
            "none": "no inductance",
            "plain": "plain inductance",
            "one pair": "inductance and one R-L pair",
            "two pairs": "inductance and two R-L pairs",
            "fractional": "fractional inductance",
        }[self.inductance]
        creep = ", creep" if self.creep else ""
        bumps = f", {self.bumps} further resonance{'s' * (self.bumps > 1)}" if self.bumps else ""
        return coil + creep + bumps

    def holds(self, other: "Circuit") -> bool:
        """Tell whether another circuit is this one with parts left out.

        Parameters
        ----------
        other : Circuit
            The simpler one.

        Returns
        -------
        bool, False for itself.
        """
        return set(self.names) > set(other.names)

    def vector(self, values: Mapping[str, float]) -> Floats:
        """Pack named values, in their units, into the vector that is fitted.

        Parameters
        ----------
        values : mapping
            One for each of ``names``, at least.

        Returns
        -------
        (k,) array: natural logarithms, but for ``exponent`` and ``creep``.
        """
        return np.array(
            [values[n] if n in _NOT_LOGARITHMS else math.log(values[n]) for n in self.names]
        )

    def values(self, vector: Floats) -> dict[str, float]:
        """Read all parameters out of a vector, each in its unit.

        Parameters
        ----------
        vector : (k,) array
            As ``vector`` packs it.

        Returns
        -------
        dict, one for each of ``names``.
        """
        return {
            name: raw if name in _NOT_LOGARITHMS else math.exp(raw)
            for name, raw in zip(self.names, vector.tolist(), strict=True)
        }

    def value(self, vector: Floats, *, name: str) -> float:
        """Read one parameter out of a vector, in its unit.

        Parameters
        ----------
        vector : (k,) array
            As ``vector`` packs it.
        name : str
            One of ``names``.

        Returns
        -------
        float
        """
        return self.values(vector)[name]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Evaluated:
    """An impedance, (m,), ohm, and its derivatives by each entry of the vector, (k, m), ohm."""

    impedance: Complexes
    slope: Complexes


def bounds(circuit: Circuit, *, low_hz: float, high_hz: float) -> Bounds:
    """Tell within what a circuit is looked for: wider than any unit, and passive.

    Parameters
    ----------
    circuit : Circuit
        Which.
    low_hz, high_hz : float
        Hz, what the data span.

    Returns
    -------
    Bounds
    """
    spans = {
        "ohm": (1e-4, 1e6),
        "h": (1e-10, 1e2),
        "q": (0.3, 200.0),
        "qms": (0.05, 500.0),
        "hz": (low_hz / 3, 3 * high_hz),
    }
    low, high = [], []
    for name in circuit.names:
        if name == "exponent":
            ends = (0.2, 1.0)
        elif name == "creep":
            ends = (0.0, 0.6)
        else:
            least, most = spans[name.rsplit("_", 1)[-1]]
            ends = (math.log(least), math.log(most))
        low.append(ends[0])
        high.append(ends[1])
    return Bounds(low=np.array(low), high=np.array(high))


def evaluate(circuit: Circuit, *, vector: Floats, frequency_hz: Floats) -> Evaluated:
    """Compute an impedance and how each entry of the vector moves it.

    Parameters
    ----------
    circuit : Circuit
        Which.
    vector : (k,) array
        As ``Circuit.vector`` packs it.
    frequency_hz : (m,) array
        Hz, above 0.

    Returns
    -------
    Evaluated
    """
    slope = np.zeros((vector.size, frequency_hz.size), dtype=np.complex128)
    jf = _times_j(frequency_hz)
    resistance = math.exp(vector[0])
    slope[0] = resistance
    z = resistance + _motion(circuit, vector=vector, jf=jf, slope=slope)
    z += _coil(circuit, vector=vector, jf=jf, slope=slope)
    for at in range(vector.size - 3 * circuit.bumps, vector.size, 3):
        z += _bump(vector[at : at + 3], jf=jf, slope=slope[at : at + 3])
    return Evaluated(impedance=z, slope=slope)


def _motion(circuit: Circuit, *, vector: Floats, jf: Complexes, slope: Complexes) -> Complexes:
    fs, loss, height = math.exp(vector[1]), math.exp(-vector[2]), math.exp(vector[3])
    u = jf * (1 / fs)
    stiff = 1 / u
    if not circuit.creep:
        denominator = u + stiff + loss
        moved = u - stiff  # minus the change of the denominator with ln fs
    else:
        at = vector.size - 3 * circuit.bumps - 1
        creep = float(vector[at])
        decades = _logarithm(u) * (1 / math.log(10))
        gives = 1 / (1 - creep * decades)
        more = 2 * creep * CREEP_LOSS**2 * gives * stiff - CREEP_LOSS
        stiff *= (1 + (creep * CREEP_LOSS) ** 2) * gives
        more += stiff * gives * decades
        denominator = u + stiff + (loss - creep * CREEP_LOSS)
        moved = u - stiff + stiff * gives * (creep / math.log(10))
    part = 1 / denominator
    branch: Complexes = height * loss * part
    bend = branch * part
    slope[1] = bend * moved
    slope[2] = bend * loss - branch
    slope[3] = branch
    if circuit.creep:
        slope[at] = -bend * more
    return branch


def _coil(circuit: Circuit, *, vector: Floats, jf: Complexes, slope: Complexes) -> Complexes:
    at = len(_CORE)
    if circuit.inductance == "none":
        return np.zeros_like(jf)
    if circuit.inductance == "fractional":
        turned = _logarithm(jf * (1 / FRACTION_HZ))
        spread: Complexes = np.exp(vector[at] + vector[at + 1] * turned)
        slope[at], slope[at + 1] = spread, spread * turned
        return spread
    z = jf * (2 * math.pi * math.exp(vector[at]))
    slope[at] = z
    for pair in range(at + 1, at + len(_COIL[circuit.inductance]), 2):
        coil = jf * (2 * math.pi * math.exp(vector[pair]))
        resistor = math.exp(vector[pair + 1])
        share = resistor / (coil + resistor)  # of the current, that the coil takes
        both = coil * share
        slope[pair] = both * share
        slope[pair + 1] = both - slope[pair]
        z = z + both
    return z


def _bump(part: Floats, *, jf: Complexes, slope: Complexes) -> Complexes:
    height, sharp, centre = (math.exp(one) for one in part)
    v = jf * (1 / centre)
    w = 1 / v
    relative = 1 / (1 + sharp * (v + w))
    branch: Complexes = height * relative
    bend = branch * relative
    slope[0] = branch
    slope[1] = bend - branch
    slope[2] = bend * (sharp * (v - w))
    return branch


def _times_j(real: Floats) -> Complexes:
    out = np.zeros(real.shape, dtype=np.complex128)
    out.imag = real
    return out


def _logarithm(imaginary: Complexes) -> Complexes:
    return np.array(np.log(imaginary.imag) + 0.5j * math.pi, dtype=np.complex128)
