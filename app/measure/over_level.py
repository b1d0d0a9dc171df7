"""Distortion of one unit over the voltage that drove it, read from takes at several levels."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from app.measure.drive_level import drive_v_rms
from app.records.store import Store
from app.records.take import Take
from dsp import Floats, read_only
from dsp.conformity.read_at import read_at
from dsp.distortion.in_decibels import in_decibels

_QUANTITIES = ("thd", "h2", "h3", "high_order")
_MOST_TAKES = 40
_SAME = 1e-3  # relative; two drives nearer than this are one


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Driven:
    """One quantity over the drive.

    Attributes
    ----------
    level_db : (n,) array
        dB re fundamental; NaN where it was not valid, or hidden by noise.
    uncertainty_db : (n,) array
        Expanded, k = 2.
    floor_db : (n,) array
        Upper bound where noise hides it; NaN elsewhere.
    """

    level_db: Floats
    uncertainty_db: Floats
    floor_db: Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class OverLevel:
    """What a unit adds to a sine of one frequency, at every drive that it was taken with.

    Attributes
    ----------
    drive_v : (n,) array
        V rms, rising.
    quantities : mapping of str to Driven
        ``thd``, ``h2``, ``h3``, ``high_order``.
    """

    drive_v: Floats
    quantities: Mapping[str, Driven]


def takes_over_level(store: Store, *, unit: str, procedure: str) -> tuple[Take, ...]:
    """Fetch the takes of a unit by one procedure, whatever its level was; the newest first."""
    found = store.find(serial=unit, procedure=procedure, limit=_MOST_TAKES)
    return tuple(store.take(one.id) for one in found)


def over_level(takes: Iterable[Take], *, frequency_hz: float) -> OverLevel:
    """Read distortion at one frequency from takes at several drives.

    Parameters
    ----------
    takes : iterable of Take
        Of one unit, the newest first; of several at the same drive the newest counts.
    frequency_hz : float
        Hz, of the fundamental.

    Returns
    -------
    OverLevel; empty where none of them tells distortion.
    """
    by_drive: list[tuple[float, Take]] = []
    for take in takes:
        volts = drive_v_rms(take.procedure, chain=take.chain.chain)
        if volts is None or "thd" not in take.curves:
            continue
        if not any(math.isclose(volts, known, rel_tol=_SAME) for known, _ in by_drive):
            by_drive.append((volts, take))
    by_drive.sort(key=lambda pair: pair[0])
    chosen = [take for _, take in by_drive]
    return OverLevel(
        drive_v=read_only(np.array([volts for volts, _ in by_drive])),
        quantities={
            name: _driven(chosen, name=name, frequency_hz=frequency_hz) for name in _QUANTITIES
        },
    )


def _driven(takes: Iterable[Take], *, name: str, frequency_hz: float) -> Driven:
    place = np.array([frequency_hz])
    level, uncertainty, floor = [], [], []
    for take in takes:
        curve = take.curves.get(name)
        if curve is None or not curve.valid.holds(place)[0]:
            level.append(math.nan)
            uncertainty.append(math.nan)
            floor.append(math.nan)
            continue
        at = read_at(in_decibels(curve), frequency_hz=place)
        value, hidden = float(at.value[0]), bool(at.is_bound[0])
        level.append(math.nan if hidden else value)
        uncertainty.append(float(at.uncertainty[0]))
        floor.append(value if hidden else math.nan)
    return Driven(
        level_db=read_only(np.array(level)),
        uncertainty_db=read_only(np.array(uncertainty)),
        floor_db=read_only(np.array(floor)),
    )
