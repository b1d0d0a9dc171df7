"""A take's residual as it is looked at: pictures, levels over time, and what stood out."""

import math
from dataclasses import dataclass, replace

import numpy as np

from dsp.defects.figure import Figure
from dsp.defects.reading import DefectReading
from dsp.defects.residual_level import ResidualLevel, residual_levels
from dsp.defects.residual_map import ResidualMap, residual_map
from hardware.chain.schema import Chain

_REFERENCE_PA = 20e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Impulse:
    """One impulse that does not repeat.

    Attributes
    ----------
    time_s : float
        s from the start of the excitation.
    level_db : float
        dB re 20 µPa, of its largest magnitude.
    duration_s : float
        s.
    is_short : bool
        Whether it is a click, which counts against the unit; else it rings on.
    drive_hz : float
        Hz, what was played then.
    in_sweep : bool
        Whether it fell into the sweep.
    """

    time_s: float
    level_db: float
    duration_s: float
    is_short: bool
    drive_hz: float
    in_sweep: bool


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class DefectsSeen:
    """All that is shown of a reading.

    Attributes
    ----------
    reading : DefectReading
        Of the take.
    swept, toned : ResidualMap or None
        The residual of the sweep, and that of the tones.
    levels : tuple of ResidualLevel
        Part by part, in playing order.
    impulses : tuple of Impulse
        Of tones and sweep, in the order in which they came.
    response_db : float
        dB, k = 2: what the microphone's response leaves open between two frequencies.
    """

    reading: DefectReading
    swept: ResidualMap | None
    toned: ResidualMap | None
    levels: tuple[ResidualLevel, ...]
    impulses: tuple[Impulse, ...]
    response_db: float

    def interval_db(self, figure: Figure) -> float | None:
        """Return the expanded uncertainty of a level re the fundamental, dB; None for a bound."""
        if figure.is_bound or not math.isfinite(figure.uncertainty):
            return None
        return math.hypot(float(figure.uncertainty), self.response_db)


def defects_seen(reading: DefectReading, *, chain: Chain) -> DefectsSeen:
    """Work out what is shown of a reading.

    Parameters
    ----------
    reading : DefectReading
        Of a take.
    chain : Chain
        Through which it was made.
    """
    microphone = chain.input.pressure
    response_db = microphone.response_uncertainty_db if microphone else 0.0
    tones_alone = replace(reading, sweep=None)
    return DefectsSeen(
        reading=reading,
        swept=residual_map(reading) if reading.sweep is not None else None,
        toned=residual_map(tones_alone),
        levels=residual_levels(reading),
        impulses=_impulses(reading),
        response_db=math.sqrt(2) * response_db,
    )


def _impulses(reading: DefectReading) -> tuple[Impulse, ...]:
    groups = [(tone.impulses, False) for tone in reading.tones]
    if reading.sweep is not None:
        groups.append((reading.sweep.impulses, True))
    found = [
        Impulse(
            time_s=float(group.time_s[k]),
            level_db=float(20 * np.log10(group.peak_pa[k] / _REFERENCE_PA)),
            duration_s=float(group.duration_s[k]),
            is_short=bool(group.is_short[k]),
            drive_hz=float(group.drive_hz[k]),
            in_sweep=in_sweep,
        )
        for group, in_sweep in groups
        for k in range(group.time_s.size)
    ]
    return tuple(sorted(found, key=lambda one: one.time_s))
