"""What lies between the ratio of two voltages and an impedance, solved from known resistors.

With the sense resistor S, gains that differ by the factor g, the lead resistance r inside the tap
and e volts of the voltage channel that leak into the sense channel for each volt, a resistor R in
the unit's place reads m = g (R + r) / (S + e g (R + r)). Turned round, with a = S / g and c = -e:

    R = a m / (1 + c m) - r

and this is linear in what is not known: R = (a - r c) m - r - c R m. One resistor gives a, two give
a and r, three give all; a short is a resistor of 0 ohm, an open circuit gives c alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from dsp.arrays import Complexes, Floats, read_only
from dsp.errors import DspError

Form = Literal["scale", "lead", "whole"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ResistorModel:
    """The three complex numbers at each frequency.

    Attributes
    ----------
    frequency_hz : (m,) array
        Hz.
    scale_ohm : (m,) complex array
        a, ohm: what the ratio is to be multiplied by; its phase is the skew of the channels.
    lead_ohm : (m,) complex array
        r, ohm, taken off.
    coupling : (m,) complex array
        c; minus the crosstalk of voltage into sense, volts for a volt.
    """

    frequency_hz: Floats
    scale_ohm: Complexes
    lead_ohm: Complexes
    coupling: Complexes

    def __post_init__(self) -> None:
        for name in ("frequency_hz", "scale_ohm", "lead_ohm", "coupling"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    def impedance(self, ratio: Complexes) -> Complexes:
        """Turn a ratio into an impedance.

        Parameters
        ----------
        ratio : (m,) complex array
            Voltage over sense voltage.

        Returns
        -------
        (m,) complex array, ohm.
        """
        out: Complexes = self.scale_ohm * ratio / (1 + self.coupling * ratio) - self.lead_ohm
        return out


def solve_resistors(
    ratios: Sequence[Complexes],
    *,
    ohm: Sequence[float],
    standard_ohm: Sequence[float],
    frequency_hz: Floats,
    form: Form,
    open_ratio: Complexes | None = None,
) -> ResistorModel:
    """Find the model that the readings on known resistors leave.

    Parameters
    ----------
    ratios : sequence of k (m,) complex arrays
        Voltage over sense voltage on each resistor.
    ohm, standard_ohm : sequences of k floats
        ohm, value and standard uncertainty of each; they weigh the readings where there are more
        than unknowns.
    frequency_hz : (m,) array
        Hz.
    form : str
        What is looked for: ``scale`` a, ``lead`` a and r, ``whole`` all three.
    open_ratio : (m,) complex array or None
        The ratio with nothing connected; c then comes from it, in any form.

    Returns
    -------
    ResistorModel

    Raises
    ------
    DspError
        Fewer resistors than unknowns, or resistors so alike that they tell nothing apart.
    """
    # Open: 1 + c m = 0, whatever r is.
    known = None if open_ratio is None else -1 / open_ratio
    wants_coupling = form == "whole" and known is None
    wants_lead = form in {"lead", "whole"}
    unknowns = 1 + wants_lead + wants_coupling
    if len(ratios) < unknowns or len({*ohm}) < unknowns:
        raise DspError(
            "solve_resistors", "resistors too few", given=len({*ohm}), allowed=f"from {unknowns}"
        )
    m = np.stack(ratios, axis=1)
    value = np.asarray(ohm, dtype=np.float64)
    target = value * (np.ones_like(m) if known is None else 1 + known[:, None] * m)
    columns = [m]
    if wants_lead:
        columns.append(-np.ones_like(m))
    if wants_coupling:
        columns.append(-value * m)
    weight = 1 / np.maximum(np.asarray(standard_ohm, dtype=np.float64), 1e-9)
    matrix = np.stack(columns, axis=2) * weight[None, :, None]
    found = _least_squares(matrix, target * weight)
    zero = np.zeros(m.shape[0], dtype=np.complex128)
    lead = found[:, 1] if wants_lead else zero
    coupling = found[:, -1] if wants_coupling else (zero if known is None else known)
    return ResistorModel(
        frequency_hz=frequency_hz,
        scale_ohm=found[:, 0] + lead * coupling,
        lead_ohm=lead,
        coupling=coupling,
    )


def form_for(resistors: int, *, has_open: bool) -> Form:
    """Tell what a number of resistors can be asked for.

    Parameters
    ----------
    resistors : int
        Different ones, a short included.
    has_open : bool
        Whether an open circuit was read as well.

    Returns
    -------
    Form
    """
    if resistors < 2:
        return "scale"
    if resistors == 2 and not has_open:
        return "lead"
    return "whole"


def _least_squares(matrix: Complexes, target: Complexes) -> Complexes:
    # (m, k, p) and (m, k): columns scaled to one size first, they differ by orders of magnitude.
    size = np.linalg.norm(matrix, axis=1, keepdims=True)
    size[size == 0] = 1.0
    known = np.all(np.isfinite(matrix), axis=(1, 2)) & np.all(np.isfinite(target), axis=1)
    out = np.full((matrix.shape[0], matrix.shape[2]), np.nan + 0j)
    if known.any():
        inverse = np.linalg.pinv(matrix[known] / size[known])
        solved = np.einsum("mpk,mk->mp", inverse, target[known])
        out[known] = solved / size[known][:, 0, :]
    return out
