"""What ends a level below, each thing with its frequency: the strictest alone bounds the curve."""

from dataclasses import dataclass

import numpy as np

from app.measure.surroundings import air_of
from app.records.take import Take
from dsp import ValidRange
from dsp.acoustic.valid_range import above_noise, baffle_low_hz, gate_low_hz
from dsp.response.harmonics import Harmonics


@dataclass(frozen=True, slots=True, kw_only=True)
class LowEnd:
    """From where on one thing lets a level hold.

    Attributes
    ----------
    of : str
        Which field: ``near field`` or ``far field``.
    reason : str
        ``gate``, ``baffle``, ``noise``, ``microphone``, or ``excitation`` where noise ends nothing
        of what was played.
    hz : float
        Hz; infinite where noise covers everything.
    """

    of: str
    reason: str
    hz: float


def low_ends(take: Take, *, of: str) -> tuple[LowEnd, ...]:
    """Find all that ends the level of a take below.

    Parameters
    ----------
    take : Take
        With ``level`` and ``level_phase``.
    of : str
        Which field it is.

    Returns
    -------
    tuple of LowEnd, the highest first: it is the one that counts.
    """
    geometry, valid = take.procedure.geometry, take.curves["level"].valid
    ends = dict([_noise_end(take)])
    if geometry.gate_ms is not None:
        ends["gate"] = gate_low_hz(geometry.gate_ms / 1e3)
    if geometry.mounting == "baffle" and geometry.baffle_edge_m is not None:
        speed = air_of(take.chain.chain.ambient).speed_m_per_s
        ends["baffle"] = baffle_low_hz(geometry.baffle_edge_m, speed_m_per_s=speed)
    ends[valid.low_reason] = valid.low_hz
    found = [LowEnd(of=of, reason=reason, hz=hz) for reason, hz in ends.items()]
    return tuple(sorted(found, key=lambda end: -end.hz))


def _noise_end(take: Take) -> tuple[str, float]:
    # Noise turns a phasor as far as it changes its length: the phase's interval, which nothing
    # smooths, tells how far the fundamental stood above it when the take was derived.
    phase = take.curves["level_phase"]
    told = phase.uncertainty
    relative = np.zeros(phase.value.shape) if told is None else np.radians(told) / 2
    there = np.isfinite(phase.value)
    found = above_noise(
        Harmonics(
            frequency_hz=phase.frequency_hz,
            amplitude=np.where(there, 1.0, np.nan)[np.newaxis].astype(np.complex128),
            noise=relative[np.newaxis],
        ),
        snr_db=take.procedure.quantities.snr_db,
        excitation=ValidRange(low_hz=0.0, high_hz=np.inf),
    )
    return found.low_reason, found.low_hz
