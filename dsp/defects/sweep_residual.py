"""Reads what a sweep leaves when its regular harmonics are taken out, over frequency."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import fft

from dsp.arrays import Bools, Floats, Ints, read_only
from dsp.defects.band import HIGH_HZ, band
from dsp.defects.disturbed import Disturbed
from dsp.defects.sweep_defects import SweepDefects
from dsp.defects.sweep_impulses import sweep_impulses
from dsp.excitation.segment import LogSweepSegment
from dsp.response.harmonics import Harmonics
from dsp.response.quiet_noise import QuietNoise
from dsp.response.sweep_plan import SweepPlan

LOWER_ORDERS = 9  # H1 to H9 are regular; defects are looked for from the tenth on
_PARTS_PER_OCTAVE = 6
_SHORTEST_PART_S = 0.01
# Above this drive the tenth harmonic leaves the band, and what rings there is no stroke's.
_HIGHEST_HZ = HIGH_HZ / 10
# A part 1 dB above the silence holds more than noise; a short one needs more.
_NOISE_KNOWN = 10 ** (1.0 / 10) - 1
_NOISE_WIDTH_HZ = 4000.0  # in which most of the power of a hall's noise lies above 0.8 kHz
_DB_PER_POWER = 10 / np.log(10)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SweepRest:
    """What separating the orders of a sweep left.

    Attributes
    ----------
    spectrum : (k,) complex array
        Of the stretch of ``plan``, Pa, without H1 to H9.
    pressure : Harmonics
        Of the same sweep.
    plan : SweepPlan
        What was played.
    """

    spectrum: NDArray[np.complexfloating]
    pressure: Harmonics
    plan: SweepPlan

    def __post_init__(self) -> None:
        object.__setattr__(self, "spectrum", read_only(self.spectrum))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Parts:
    """Mean square and largest magnitude of each part, and of how many samples, (m,).

    NaN where most of it is disturbed.
    """

    power: Floats
    peak: Floats
    samples: Ints


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SweepRead:
    """One sweep, and what was found to be disturbed in it."""

    defects: SweepDefects
    disturbed: tuple[Disturbed, ...]


def sweep_residual(
    rest: SweepRest, *, noise: QuietNoise, disturbed: Sequence[Disturbed]
) -> SweepRead | None:
    """Read the residual over the frequency that was played.

    Parameters
    ----------
    rest : SweepRest
        What separating the orders left.
    noise : QuietNoise
        Of the same channel.
    disturbed : sequence of Disturbed
        What the ambient channel told: impulses in it do not count, parts of it are not read.

    Returns
    -------
    SweepRead; None where the sweep starts above the highest stroke that is looked at.

    Notes
    -----
    Impulses that come again a period of the drive later, at the same place, repeat: they show in
    ``peak_db``, not in the count.
    """
    plan = rest.plan
    segment, rate_hz = plan.segment, plan.sample_rate_hz
    edges = _edges(segment)
    if edges.size < 2:
        return None
    start = segment.start - plan.begin + round(_late(rest.pressure) * rate_hz)
    cuts = np.rint(_moment_s(segment, edges) * rate_hz).astype(np.int64)
    cuts = np.minimum(cuts, plan.end - plan.begin - start)
    width = band(plan.size, sample_rate_hz=rate_hz, noise=noise)
    stretch = slice(start, start + int(cuts[-1]))
    # As single as the spectrum is; of what is white only the course counts, not the size.
    course = width.whitens / np.max(width.whitens)
    held, white = (
        fft.irfft(rest.spectrum * gain.astype(np.float32), plan.size)[stretch].astype(np.float64)
        for gain in (width.passes, course)
    )
    begins = plan.begin + start
    clean = _clean(held.size, disturbed=disturbed, at=begins, rate_hz=rate_hz)
    found = sweep_impulses(
        white,
        held=held,
        clean=clean,
        segment=segment,
        sample_rate_hz=rate_hz,
        start=begins,
    )
    if found.ringing:
        clean &= _clean(held.size, disturbed=found.ringing, at=begins, rate_hz=rate_hz)
    middle = np.sqrt(edges[:-1] * edges[1:])
    fundamental = np.interp(
        np.log(middle), np.log(rest.pressure.frequency_hz), np.abs(rest.pressure.fundamental)
    )
    parts = _by_part(held, cuts=cuts, clean=clean)
    levels = _levels(parts, noise_pa=width.noise_pa, rate_hz=rate_hz)
    with np.errstate(divide="ignore", invalid="ignore"):
        return SweepRead(
            disturbed=found.ringing,
            defects=SweepDefects(
                frequency_hz=middle,
                level_db=10 * np.log10(levels.power / fundamental**2),
                peak_db=20 * np.log10(parts.peak / (np.sqrt(2) * fundamental)),
                crest=parts.peak / np.sqrt(parts.power),
                level_uncertainty_db=levels.uncertainty_db,
                is_bound=levels.is_bound,
                noise_db=20 * np.log10(width.noise_pa / fundamental),
                impulses=found.impulses,
                residual_pa=held,
                start=begins,
                sample_rate_hz=rate_hz,
                segment=segment,
            ),
        )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Levels:
    """Mean square of each part less that of the noise, (m,); or what it is at most."""

    power: Floats
    uncertainty_db: Floats
    is_bound: Bools


def _levels(parts: "_Parts", *, noise_pa: float, rate_hz: float) -> _Levels:
    # A short part knows its own noise less well than the silence does.
    freedom = 2 * _NOISE_WIDTH_HZ * np.maximum(parts.samples, 1) / rate_hz
    known = np.maximum(_NOISE_KNOWN, 3 * np.sqrt(2 / freedom)) * noise_pa**2
    excess = parts.power - noise_pa**2
    bound = ~(excess > known) & np.isfinite(parts.power)
    power = np.where(bound, np.maximum(excess, 0) + known, excess)
    uncertainty = np.where(bound, np.nan, _DB_PER_POWER * known / np.where(bound, 1.0, excess))
    return _Levels(power=power, uncertainty_db=uncertainty, is_bound=bound)


def _moment_s(segment: LogSweepSegment, hz: Floats) -> Floats:
    out: Floats = segment.rate_s * np.log(hz / segment.first_hz)
    return out


def _edges(segment: LogSweepSegment) -> Floats:
    top = min(segment.stop_hz, _HIGHEST_HZ)
    if top <= segment.start_hz:
        return np.zeros(0)
    # At 10 ms a part at least: shorter, and a part would hold no rms of its own.
    octave_s = segment.rate_s * np.log(2)
    each = max(min(_PARTS_PER_OCTAVE, int(octave_s / _SHORTEST_PART_S)), 1)
    count = max(int(np.log2(top / segment.start_hz) * each), 1)
    return np.geomspace(segment.start_hz, top, count + 1)


def _late(pressure: Harmonics) -> float:
    # The way to the microphone, from the slope of the phase at the top of the stroke's range.
    inside = (pressure.frequency_hz > _HIGHEST_HZ / 4) & (pressure.frequency_hz < _HIGHEST_HZ)
    if np.count_nonzero(inside) < 2:
        return 0.0
    phase = np.unwrap(np.angle(pressure.fundamental[inside]))
    slope = np.polyfit(pressure.frequency_hz[inside], phase, 1)[0]
    return float(max(-slope / (2 * np.pi), 0.0))


def _clean(count: int, *, disturbed: Sequence[Disturbed], at: int, rate_hz: float) -> Bools:
    clean = np.ones(count, dtype=bool)
    for span in disturbed:
        first = round(span.start_s * rate_hz) - at
        last = round(span.stop_s * rate_hz) - at
        if last > 0:
            clean[max(first, 0) : last] = False
    return clean


def _by_part(held: Floats, *, cuts: Ints, clean: Bools) -> _Parts:
    starts, lengths = cuts[:-1], np.diff(cuts)
    # One sample more, so that a part may be empty at the very end.
    inside = np.pad(np.abs(held[: cuts[-1]]) * clean[: cuts[-1]], (0, 1))
    samples = np.add.reduceat(np.pad(clean[: cuts[-1]], (0, 1)).astype(np.int64), starts)
    samples[2 * samples <= lengths] = 0
    samples[lengths == 0] = 0
    told = samples > 0
    power = np.add.reduceat(inside**2, starts) / np.maximum(samples, 1)
    return _Parts(
        power=np.where(told, power, np.nan),
        peak=np.where(told, np.maximum.reduceat(inside, starts), np.nan),
        samples=samples,
    )
