"""Sensitivity: one figure read out of a level curve, for 2.83 V or 1 W at 1 m."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from dsp.acoustic.level import UNIT
from dsp.arrays import Floats
from dsp.curve import Curve
from dsp.errors import DspError
from dsp.number import Number

Reference = Literal["2.83V", "1W"]
REFERENCE_V = 2.83


def reference_voltage(reference: Reference, *, nominal_ohm: float | None) -> float:
    """Tell which voltage a sensitivity is stated for.

    Parameters
    ----------
    reference : str
        ``2.83V``, or ``1W``: into the nominal impedance.
    nominal_ohm : float or None
        ohm; needed for ``1W``.

    Returns
    -------
    float, V rms: 2.83, or the square root of 1 W times ``nominal_ohm``.

    Raises
    ------
    DspError
        1 W without a nominal impedance.
    """
    if reference == "2.83V":
        return REFERENCE_V
    if nominal_ohm is None or not nominal_ohm > 0:
        raise DspError("sensitivity", "1 W needs a nominal impedance", given=nominal_ohm)
    return math.sqrt(nominal_ohm)


def sensitivity(
    level: Curve,
    *,
    level_v: float,
    level_distance_m: float,
    reference_v: float = REFERENCE_V,
    at_hz: Sequence[float] | None = None,
    band_hz: tuple[float, float] | None = None,
    chain_db: float = 0.0,
) -> Number:
    """Average a level curve and refer it to 1 m and to the voltage that sensitivity is stated for.

    The mean is that of the squared sound pressure, as for the mean sound pressure level of
    IEC 60268-5: over the frequencies named, or over log f from one end of the band to the other.
    Between its points the level is linear in log f.

    Parameters
    ----------
    level : Curve
        dB re 20 µPa.
    level_v, level_distance_m : float
        V rms and m that ``level`` is stated for.
    reference_v : float
        V rms, from ``reference_voltage``.
    at_hz : sequence of float or None
        Hz, one or more.
    band_hz : (low, high) or None
        Hz. Neither this nor ``at_hz``: the whole valid range of the curve.
    chain_db : float
        dB, the part of the curve's standard uncertainty that is common to all its points. It does
        not average out; what the curve has beyond it counts as independent noise.

    Returns
    -------
    Number in dB re 20 µPa, expanded uncertainty, k = 2; with a reason where the curve does not
    hold, and NaN where it has no points at all.

    Raises
    ------
    DspError
        Both ``at_hz`` and ``band_hz``, or a band that does not rise.
    """
    wanted = _wanted(level, at_hz=at_hz, band_hz=band_hz)
    offset = 20 * math.log10(reference_v / level_v * level_distance_m)
    how = f"{wanted.words}, 1 m, {reference_v:.4g} V"
    reading = _read(level, hz=wanted.hz, weight=wanted.weight)
    if reading is None:
        return Number(value=math.nan, unit=UNIT, how=how, reason="the level curve has no such part")
    doubt = "" if np.all(level.valid.holds(wanted.hz)) else _doubt(level)
    uncertainty = None
    if level.uncertainty is not None:
        noise = np.sqrt(np.maximum((level.uncertainty / 2) ** 2 - chain_db**2, 0.0))
        share = reading.share
        rule = 0.0
        if at_hz is None:
            rule = _quadrature_db(level, hz=wanted.hz, mean_db=reading.level_db)
        independent = float(np.linalg.norm((share * noise)[share != 0]))
        uncertainty = 2 * math.hypot(independent, chain_db, rule)
    return Number(
        value=reading.level_db + offset, unit=UNIT, uncertainty=uncertainty, how=how, reason=doubt
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Wanted:
    hz: Floats
    weight: Floats
    words: str


@dataclass(frozen=True, slots=True, eq=False)
class _Reading:
    level_db: float
    share: Floats  # slope of the mean against the level of each point of the curve, (n,)


def _wanted(
    level: Curve, *, at_hz: Sequence[float] | None, band_hz: tuple[float, float] | None
) -> _Wanted:
    if at_hz is not None and band_hz is not None:
        raise DspError("sensitivity", "at_hz and band_hz both given", allowed="one of them")
    if at_hz is not None:
        hz = np.asarray(at_hz, dtype=np.float64)
        named = ", ".join(f"{one:g}" for one in hz)
        words = f"at {named} Hz" if hz.size == 1 else f"power mean at {named} Hz"
        return _Wanted(hz, np.full(hz.size, 1 / max(hz.size, 1)), words)
    if band_hz is not None:
        low, high = band_hz
        if not 0 < low < high:
            raise DspError("sensitivity", "band does not rise", given=band_hz)
    else:
        known = level.frequency_hz[np.isfinite(level.value)]
        ends = (known[0], known[-1]) if known.size else (math.inf, 0.0)
        low, high = max(level.valid.low_hz, ends[0]), min(level.valid.high_hz, ends[1])
    words = f"power mean over log f, {low:.5g} Hz to {high:.5g} Hz"
    inner = level.frequency_hz[(level.frequency_hz > low) & (level.frequency_hz < high)]
    hz = np.concatenate([[low], inner, [high]]) if low < high else np.empty(0)
    return _Wanted(hz, _trapezoid(hz), words)


def _trapezoid(hz: Floats) -> Floats:
    # Shares of the places in a mean over log f; they add up to 1.
    if not hz.size:
        return hz
    steps = np.diff(np.log(hz))
    weight = (np.append(steps, 0.0) + np.insert(steps, 0, 0.0)) / 2
    shares: Floats = weight / np.sum(weight)
    return shares


def _quadrature_db(level: Curve, *, hz: Floats, mean_db: float) -> float:
    # What the rule itself misses: a third of what it moves when every second place is left out.
    fewer = np.unique(np.append(hz[::2], hz[-1]))
    coarse = _read(level, hz=fewer, weight=_trapezoid(fewer))
    return abs(coarse.level_db - mean_db) / 3 if coarse else 0.0


def _read(level: Curve, *, hz: Floats, weight: Floats) -> _Reading | None:
    # Weighted power mean over the places, and how far each point of the curve moves it.
    known = np.flatnonzero(np.isfinite(level.value))
    if not hz.size or known.size < 2:
        return None
    table = np.log(level.frequency_hz[known])
    slack = 1e-9  # a typed 20 Hz and a computed 20 Hz are the same end
    place = np.log(hz)
    if np.min(place) < table[0] - slack or np.max(place) > table[-1] + slack:
        return None
    right = np.clip(np.searchsorted(table, place), 1, table.size - 1)
    part = np.clip((place - table[right - 1]) / (table[right] - table[right - 1]), 0, 1)
    value = level.value[known]
    here = value[right - 1] * (1 - part) + value[right] * part
    loudest = float(np.max(here))
    power = weight * 10 ** ((here - loudest) / 10)
    total = float(np.sum(power))
    share = np.zeros(level.value.size)
    np.add.at(share, known[right - 1], power / total * (1 - part))
    np.add.at(share, known[right], power / total * part)
    return _Reading(loudest + 10 * math.log10(total), share)


def _doubt(level: Curve) -> str:
    valid = level.valid
    if valid.low_hz > valid.high_hz:
        return "the level holds nowhere"
    return (
        f"outside the valid range of the level, {valid.low_hz:.5g} Hz ({valid.low_reason}) "
        f"to {valid.high_hz:.5g} Hz ({valid.high_reason})"
    )
