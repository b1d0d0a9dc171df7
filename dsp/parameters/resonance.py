"""Rows of a fitted vector as the figures that rules are written with; analytic in every entry."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats
from dsp.parameters.circuit import CREEP_LOSS, FRACTION_HZ, Circuit


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Resonance:
    """Main resonance and resistance: one value, or one for each draw.

    Attributes
    ----------
    re_ohm, res_ohm : array
        ohm, coil, and what motion adds at the top.
    fs_hz : array
        Hz.
    qms : array
        Mechanical quality factor.
    creep : array
        Compliance gained per decade.
    """

    re_ohm: Floats
    res_ohm: Floats
    fs_hz: Floats
    qms: Floats
    creep: Floats

    @property
    def ws(self) -> Floats:
        """Angular frequency, rad/s."""
        return 2 * np.pi * self.fs_hz

    @property
    def qes(self) -> Floats:
        """Electrical quality factor."""
        return self.qms * self.re_ohm / self.res_ohm

    @property
    def qts(self) -> Floats:
        """Total quality factor."""
        return self.qms * self.re_ohm / (self.re_ohm + self.res_ohm)

    def stiffness_ratio(self, hz: Floats) -> Floats:
        """Give the stiffness at another frequency over that at fs.

        Parameters
        ----------
        hz : array
            Hz.

        Returns
        -------
        array; 1 without creep.
        """
        firm = 1 - self.creep * np.log10(hz / self.fs_hz)
        loss = self.creep * CREEP_LOSS
        ratio: Floats = (1 + loss**2) * firm / (firm**2 + loss**2)
        return ratio

    def height(self, hz: Floats) -> Floats:
        """Give the motional impedance's magnitude over ``res_ohm``.

        Parameters
        ----------
        hz : array
            Hz.

        Returns
        -------
        array, 1 at fs.
        """
        u, loss = hz / self.fs_hz, self.creep * CREEP_LOSS
        firm = 1 - self.creep * np.log10(u)
        scale = (1 + loss**2) / (firm**2 + loss**2) / u
        real = 1 / self.qms - loss + scale * loss
        imag = u - scale * firm
        out: Floats = 1 / (self.qms * np.sqrt(real**2 + imag**2))
        return out


def resonance(circuit: Circuit, rows: Floats) -> Resonance:
    """Read the main resonance out of a vector.

    Parameters
    ----------
    circuit : Circuit
        Whose.
    rows : (k, ...) array
        Its vector, or many.

    Returns
    -------
    Resonance
    """
    names = circuit.names
    return Resonance(
        re_ohm=np.exp(rows[names.index("re_ohm")]),
        res_ohm=np.exp(rows[names.index("res_ohm")]),
        fs_hz=np.exp(rows[names.index("fs_hz")]),
        qms=np.exp(rows[names.index("qms")]),
        creep=rows[names.index("creep")] if circuit.creep else np.zeros_like(rows[0]),
    )


def inductance_h(circuit: Circuit, rows: Floats, *, hz: float) -> Floats:
    """Tell what inductance the coil shows at a frequency: its reactance over 2 pi f.

    Parameters
    ----------
    circuit : Circuit
        Whose.
    rows : (k, ...) array
        Its vector, or many.
    hz : float
        Hz.

    Returns
    -------
    (...) array, H.
    """
    w, names = 2 * np.pi * hz, circuit.names
    shown: Floats = np.zeros_like(rows[0])
    if circuit.inductance == "fractional":
        exponent = rows[names.index("exponent")]
        size = np.exp(rows[names.index("k_ohm")] + exponent * np.log(hz / FRACTION_HZ))
        spread: Floats = size * np.sin(exponent * np.pi / 2) / w
        return spread
    if "le_h" in names:
        shown = shown + np.exp(rows[names.index("le_h")])
    for number in (2, 3):
        if f"l{number}_h" in names:
            coil = np.exp(rows[names.index(f"l{number}_h")])
            resistor = np.exp(rows[names.index(f"r{number}_ohm")])
            shown = shown + coil * resistor**2 / (resistor**2 + (w * coil) ** 2)
    return shown
