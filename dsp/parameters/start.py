"""Where a fit begins: the main resonance from the peak, the coil from what is above it."""

import itertools
import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from scipy.optimize import nnls

from dsp.arrays import Complexes, Floats
from dsp.parameters.circuit import FRACTION_HZ, Circuit, evaluate
from dsp.parameters.classic import Classic
from dsp.parameters.readings import Readings

_ABOVE = 2.5  # times the resonance, from where the coil is looked at
_CORNERS_HZ = tuple(np.geomspace(100.0, 2e4, 6).tolist())  # of R-L pairs that are tried
_MOST_POINTS = 80  # that a start needs
_SMALLEST_PART = 1e-3  # of Re: nothing starts at zero, or it would stay there


def from_peak(rough: Classic) -> dict[str, float]:
    """Read what every circuit has from the peak.

    Parameters
    ----------
    rough : Classic
        What the peak tells.

    Returns
    -------
    dict, the values of a circuit without inductance.
    """
    return {
        "re_ohm": rough.re_ohm,
        "fs_hz": rough.fs_hz,
        "qms": float(np.clip(rough.qms, 0.2, 100)),
        "res_ohm": max(rough.r_max_ohm - rough.re_ohm, 0.05 * rough.re_ohm),
    }


def with_coil(circuit: Circuit, *, known: Mapping[str, float], data: Readings) -> Floats:
    """Complete a vector by the inductance that what is known leaves over.

    Parameters
    ----------
    circuit : Circuit
        Which.
    known : mapping
        Values of all of its parameters but the inductance's; an R-L pair of another circuit is
        tried as one of this.
    data : Readings
        Points of the impedance.

    Returns
    -------
    (k,) array
    """
    above = data.frequency_hz > _ABOVE * known["fs_hz"]
    if not np.any(above):
        above = data.frequency_hz >= data.frequency_hz[-1] / 2
    some = np.flatnonzero(above)[:: 1 + np.count_nonzero(above) // _MOST_POINTS]
    hz, ohm = data.frequency_hz[some], data.ohm[some]
    bare = replace(circuit, inductance="none")
    model = evaluate(bare, vector=bare.vector(known), frequency_hz=hz).impedance
    coil = _coil(circuit, hz=hz, left=ohm - model, size=np.abs(ohm), known=known)
    return circuit.vector({**known, **coil})


def _coil(
    circuit: Circuit, *, hz: Floats, left: Complexes, size: Floats, known: Mapping[str, float]
) -> dict[str, float]:
    smallest = _SMALLEST_PART * known["re_ohm"]
    match circuit.inductance:
        case "none":
            return {}
        case "fractional":
            return _fractional(hz, left=left, smallest=smallest)
        case "plain":
            pairs = 0
        case "one pair":
            pairs = 1
        case "two pairs":
            pairs = 2
    corners = (*_CORNERS_HZ, *_corners(known))
    return _pairs(pairs, hz=hz, left=left, size=size, smallest=smallest, corners_hz=corners)


def _corners(known: Mapping[str, float]) -> list[float]:
    return [
        known[f"r{n}_ohm"] / (2 * math.pi * known[f"l{n}_h"]) for n in (2, 3) if f"l{n}_h" in known
    ]


def _fractional(hz: Floats, *, left: Complexes, smallest: float) -> dict[str, float]:
    half = hz >= math.sqrt(hz[0] * hz[-1])
    part = left[half].real + 1j * np.maximum(left[half].imag, smallest)
    exponent = float(np.clip(np.median(np.angle(part)) / (np.pi / 2), 0.3, 0.95))
    k_ohm = float(np.median(np.abs(part) * (FRACTION_HZ / hz[half]) ** exponent))
    return {"k_ohm": max(k_ohm, smallest), "exponent": exponent}


def _pairs(
    pairs: int,
    *,
    hz: Floats,
    left: Complexes,
    size: Floats,
    smallest: float,
    corners_hz: tuple[float, ...],
) -> dict[str, float]:
    # Corners are tried from a list, the rest is linear and positive.
    s = 2j * np.pi * hz
    shapes = [np.ones_like(s), s, *(s / (1 + 1j * hz / corner) for corner in corners_hz)]
    columns = (np.array(shapes) / size).view(np.float64)
    scale = np.linalg.norm(columns, axis=1)
    matrix, target = columns.T / scale, (left / size).view(np.float64)
    choices = [(0, 1, *lossy) for lossy in itertools.combinations(range(2, len(shapes)), pairs)]
    tried = [nnls(matrix[:, choice], target) for choice in choices]
    best = int(np.argmin([miss for _, miss in tried]))
    _, henry, *henries = (tried[best][0] / scale[list(choices[best])]).tolist()
    values = {"le_h": max(henry, smallest / (2 * math.pi * hz[-1]))}
    for number, (at, one) in enumerate(zip(choices[best][2:], henries, strict=True), start=2):
        corner = 2 * math.pi * corners_hz[at - 2]
        coil = max(one, smallest / corner)
        values |= {f"l{number}_h": coil, f"r{number}_ohm": corner * coil}
    return values
