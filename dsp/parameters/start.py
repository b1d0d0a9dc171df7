"""Where a fit begins: the main resonance from the peak, the coil from what is above it."""

import itertools
import math

import numpy as np
from scipy.optimize import nnls

from dsp.arrays import Complexes, Floats
from dsp.parameters.circuit import FRACTION_HZ, Circuit
from dsp.parameters.classic import Classic
from dsp.parameters.readings import Readings

_ABOVE = 2.5  # times the resonance, from where the coil is looked at
_CORNERS_HZ = np.geomspace(100.0, 2e4, 6)  # of R-L pairs that are tried
_MOST_POINTS = 80  # that a start needs
_SMALLEST_PART = 1e-3  # of Re: nothing starts at zero, or it would stay there


def start(circuit: Circuit, *, rough: Classic, data: Readings) -> Floats:
    """Find a first vector for a circuit without creep and without bumps.

    Parameters
    ----------
    circuit : Circuit
        Which.
    rough : Classic
        What the peak tells.
    data : Readings
        Points of the impedance.

    Returns
    -------
    (k,) array
    """
    values = {
        "re_ohm": rough.re_ohm,
        "fs_hz": rough.fs_hz,
        "qms": float(np.clip(rough.qms, 0.2, 100)),
        "res_ohm": max(rough.r_max_ohm - rough.re_ohm, 0.05 * rough.re_ohm),
    }
    u = 1j * data.frequency_hz / values["fs_hz"]
    motion = values["res_ohm"] / (1 + values["qms"] * (u + 1 / u))
    left = data.ohm - values["re_ohm"] - motion
    above = data.frequency_hz > _ABOVE * values["fs_hz"]
    if not np.any(above):
        above = data.frequency_hz >= data.frequency_hz[-1] / 2
    some = np.flatnonzero(above)[:: 1 + np.count_nonzero(above) // _MOST_POINTS]
    values |= _coil(
        circuit,
        hz=data.frequency_hz[some],
        left=left[some],
        size=np.abs(data.ohm[some]),
        re_ohm=values["re_ohm"],
    )
    return circuit.vector(values)


def _coil(
    circuit: Circuit, *, hz: Floats, left: Complexes, size: Floats, re_ohm: float
) -> dict[str, float]:
    match circuit.inductance:
        case "none":
            return {}
        case "fractional":
            return _fractional(hz, left=left, re_ohm=re_ohm)
        case "plain":
            pairs = 0
        case "one pair":
            pairs = 1
        case "two pairs":
            pairs = 2
    return _pairs(pairs, hz=hz, left=left, size=size, re_ohm=re_ohm)


def _fractional(hz: Floats, *, left: Complexes, re_ohm: float) -> dict[str, float]:
    half = hz >= math.sqrt(hz[0] * hz[-1])
    part = left[half].real + 1j * np.maximum(left[half].imag, _SMALLEST_PART * re_ohm)
    exponent = float(np.clip(np.median(np.angle(part)) / (np.pi / 2), 0.3, 0.95))
    k_ohm = float(np.median(np.abs(part) * (FRACTION_HZ / hz[half]) ** exponent))
    return {"k_ohm": max(k_ohm, _SMALLEST_PART * re_ohm), "exponent": exponent}


def _pairs(
    pairs: int, *, hz: Floats, left: Complexes, size: Floats, re_ohm: float
) -> dict[str, float]:
    # Corners are tried on a grid, the rest is linear and positive.
    s = 2j * np.pi * hz
    target = (left / size).view(np.float64)
    smallest = _SMALLEST_PART * re_ohm
    best, least = None, math.inf
    for corners in itertools.combinations(_CORNERS_HZ, pairs):
        columns = [np.ones_like(s), s, *(s / (1 + s / (2 * np.pi * hz)) for hz in corners)]
        matrix = np.stack([(column / size).view(np.float64) for column in columns], axis=1)
        scale = np.linalg.norm(matrix, axis=0)
        parts, miss = nnls(matrix / scale, target)
        if miss < least:
            best, least = (corners, parts / scale), miss
    corners, parts = best if best is not None else ((), np.zeros(2))
    tiny_h = smallest / (2 * np.pi * hz[-1])
    values = {"le_h": max(float(parts[1]), tiny_h)}
    for number, (corner, henry) in enumerate(zip(corners, parts[2:], strict=True), start=2):
        coil = max(float(henry), smallest / (2 * np.pi * corner))
        values |= {f"l{number}_h": coil, f"r{number}_ohm": 2 * np.pi * corner * coil}
    return values
