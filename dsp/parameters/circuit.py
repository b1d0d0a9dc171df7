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
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from dsp.arrays import Complexes, Floats

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

    def vector(self, values: dict[str, float]) -> Floats:
        """Pack named values, in their units, into the vector that is fitted.

        Parameters
        ----------
        values : dict
            One for each of ``names``.

        Returns
        -------
        (k,) array: natural logarithms, but for ``exponent`` and ``creep``.
        """
        return np.array(
            [values[n] if n in _NOT_LOGARITHMS else math.log(values[n]) for n in self.names]
        )

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
        raw = float(vector[self.names.index(name)])
        return raw if name in _NOT_LOGARITHMS else math.exp(raw)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Evaluated:
    """An impedance, (m,), ohm, and its derivatives by each entry of the vector, (k, m), ohm."""

    impedance: Complexes
    slope: Complexes


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Bounds:
    """Lowest and highest value of each entry of the vector, (k,)."""

    low: Floats
    high: Floats


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
    slope = np.zeros((len(circuit.names), frequency_hz.size), dtype=np.complex128)
    resistance = math.exp(vector[0])
    slope[0] = resistance
    z = resistance + _motion(circuit, vector=vector, frequency_hz=frequency_hz, slope=slope)
    z = z + _coil(circuit, vector=vector, frequency_hz=frequency_hz, slope=slope)
    first = len(circuit.names) - 3 * circuit.bumps
    for at in range(first, len(circuit.names), 3):
        z = z + _bump(vector[at : at + 3], frequency_hz=frequency_hz, slope=slope[at : at + 3])
    return Evaluated(impedance=z, slope=slope)


def _motion(
    circuit: Circuit, *, vector: Floats, frequency_hz: Floats, slope: Complexes
) -> Complexes:
    fs, loss, height = math.exp(vector[1]), math.exp(-vector[2]), math.exp(vector[3])
    u = _times_j(frequency_hz / fs)
    if not circuit.creep:
        denominator = loss + u + 1 / u
        moved = u - 1 / u  # minus the change of the denominator with ln fs
    else:
        at = circuit.names.index("creep")
        creep = float(vector[at])
        decades = np.log(u) / math.log(10)
        gives = 1 / (1 - creep * decades)
        scale = 1 + (creep * CREEP_LOSS) ** 2
        stiff = scale * gives / u
        denominator = loss - creep * CREEP_LOSS + u + stiff
        moved = u - stiff + stiff * gives * (creep / math.log(10))
        more = 2 * creep * CREEP_LOSS**2 * gives / u + stiff * gives * decades - CREEP_LOSS
    branch = height * loss / denominator
    slope[1] = branch * moved / denominator
    slope[2] = branch * (loss / denominator - 1)
    slope[3] = branch
    if circuit.creep:
        slope[at] = -branch * more / denominator
    out: Complexes = branch
    return out


def _coil(circuit: Circuit, *, vector: Floats, frequency_hz: Floats, slope: Complexes) -> Complexes:
    s = _times_j(2 * np.pi * frequency_hz)
    at = len(_CORE)
    z = np.zeros_like(s)
    if circuit.inductance == "none":
        return z
    if circuit.inductance == "fractional":
        turned = np.log(1j * frequency_hz / FRACTION_HZ)
        spread: Complexes = np.exp(vector[at] + vector[at + 1] * turned)
        slope[at], slope[at + 1] = spread, spread * turned
        return spread
    z = s * math.exp(vector[at])
    slope[at] = z
    for pair in range(at + 1, at + len(_COIL[circuit.inductance]), 2):
        coil, resistor = s * math.exp(vector[pair]), math.exp(vector[pair + 1])
        both = coil * resistor / (coil + resistor)
        slope[pair] = both * resistor / (coil + resistor)
        slope[pair + 1] = both * coil / (coil + resistor)
        z = z + both
    return z


def _bump(part: Floats, *, frequency_hz: Floats, slope: Complexes) -> Complexes:
    height, sharp, centre = (math.exp(one) for one in part)
    v = _times_j(frequency_hz / centre)
    denominator = 1 + sharp * (v + 1 / v)
    branch = height / denominator
    slope[0] = branch
    slope[1] = -branch * sharp * (v + 1 / v) / denominator
    slope[2] = branch * sharp * (v - 1 / v) / denominator
    return branch


def _times_j(real: Floats) -> Complexes:
    return np.array(1j * real, dtype=np.complex128)
