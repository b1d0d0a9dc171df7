"""One take's irregular defects: every tone, the sweep, and the largest of each figure."""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from dsp.arrays import Bools, Floats
from dsp.defects.ambient import disturbances
from dsp.defects.disturbed import Disturbed
from dsp.defects.figure import Figure
from dsp.defects.fold import LOW_ORDERS
from dsp.defects.read_tone import Hold, ToneRead, read_tones
from dsp.defects.reading import DefectReading
from dsp.defects.sweep_defects import SweepDefects
from dsp.defects.sweep_residual import SweepRead, SweepRest, sweep_residual
from dsp.defects.tone_defects import ToneDefects
from dsp.defects.unheard import unheard
from dsp.excitation.excitation import Excitation
from dsp.excitation.segment import ToneSegment
from dsp.response.harmonic_fit import harmonic_fit
from dsp.response.quiet_noise import QuietNoise, quiet_noise

# Below, a mean over periods says nothing; the points of a stepped sine are over sooner.
_FEWEST_PERIODS, _SHORTEST_S = 6, 0.15
_HIGHEST_HZ = 1000.0  # above, fewer than fifteen orders lie within the band
# A bound that is so far above an estimate of another tone hides more than that tone told.
_NEAR_DB, _NEAR_DEPTH = 6.0, 0.1
_NONE = Figure(value=math.nan, uncertainty=math.nan, is_bound=True)


def read_defects(
    pressure: Floats,
    *,
    excitation: Excitation,
    ambient: Floats | None = None,
    rest: SweepRest | None = None,
    noise: QuietNoise | None = None,
) -> DefectReading:
    """Read the irregular defects of a take.

    Parameters
    ----------
    pressure : (n,) array
        Pa, on the excitation's clock.
    excitation : Excitation
        What was played; tones up to 1 kHz that are held for six periods are read.
    ambient : (n,) array or None
        The second microphone, any unit; what it hears of the surroundings is left out.
    rest : SweepRest or None
        What separating the orders of a sweep left; None where nothing was swept.
    noise : QuietNoise or None
        From ``quiet_noise`` of the same channel; None: measured here.

    Returns
    -------
    DefectReading
    """
    noise = noise or quiet_noise(pressure, excitation=excitation)
    outside: tuple[Disturbed, ...] = ()
    if ambient is not None:
        outside = disturbances(ambient, pressure=pressure, excitation=excitation)
    read = read_tones(
        _holds(pressure, excitation=excitation),
        noise=noise,
        sample_rate_hz=excitation.sample_rate_hz,
        disturbed=outside,
    )
    swept = sweep_residual(rest, noise=noise, disturbed=outside) if rest else None
    together = _together(read, swept=swept, outside=outside, has_ambient=ambient is not None)
    deaf = unheard(
        together.tones,
        swept=rest.pressure if rest else None,
        silence=pressure[: excitation.quiet_stop],
        noise=noise,
    )
    return replace(together, unheard=deaf)


def tones_to_read(excitation: Excitation) -> bool:
    """Tell whether an excitation holds a tone long enough for defects.

    Parameters
    ----------
    excitation : Excitation
        What is played.

    Returns
    -------
    bool
    """
    return any(
        isinstance(segment, ToneSegment)
        and bool(_readable(segment, sample_rate_hz=excitation.sample_rate_hz).any())
        for segment in excitation.segments
    )


def _readable(segment: ToneSegment, *, sample_rate_hz: float) -> Bools:
    held_s = (segment.hold_stop - segment.hold_start + 0.5) / sample_rate_hz
    long = (held_s * segment.frequency_hz >= _FEWEST_PERIODS) & (held_s >= _SHORTEST_S)
    readable: Bools = long & (segment.frequency_hz <= _HIGHEST_HZ)
    return readable


def _holds(pressure: Floats, *, excitation: Excitation) -> list[Hold]:
    found: list[Hold] = []
    for segment in excitation.segments:
        if not isinstance(segment, ToneSegment):
            continue
        cycles = segment.frequency_hz / excitation.sample_rate_hz
        lengths = segment.hold_stop - segment.hold_start
        read = _readable(segment, sample_rate_hz=excitation.sample_rate_hz)
        if not read.any():
            continue
        starts, stops = segment.hold_start[read], segment.hold_stop[read]
        holds = [pressure[a:b] for a, b in zip(starts, stops, strict=True)]
        fit = harmonic_fit(holds, cycles_a_sample=cycles[read], orders=LOW_ORDERS)
        # The fit counts phases from the middle of a hold.
        back = np.exp(-1j * np.pi * cycles[read] * (lengths[read] - 1))
        found += [
            Hold(
                rest=fit.residuals[j],
                fundamental=complex(fit.phasor[j, 0] * back[j]),
                frequency_hz=float(segment.frequency_hz[read][j]),
                start=int(starts[j]),
            )
            for j in range(starts.size)
        ]
    return found


def _together(
    read: Sequence[ToneRead],
    *,
    swept: SweepRead | None,
    outside: tuple[Disturbed, ...],
    has_ambient: bool,
) -> DefectReading:
    tones = tuple(one.defects for one in read)
    sweep = swept.defects if swept else None
    told = [*outside, *(span for one in read for span in one.disturbed)]
    told += swept.disturbed if swept else ()
    # Whether anything repeats is what is asked first: a bound elsewhere must not hide that it does.
    loudest = _largest(tones, lambda tone: tone.sync_peak_db, near=math.inf)
    return DefectReading(
        tones=tones,
        sweep=sweep,
        rub_buzz_db=loudest.sync_peak_db if loudest else _of_sweep(sweep),
        high_order_db=_figure(tones, lambda tone: tone.high_order_db),
        sync_crest=loudest.sync_crest if loudest else _NONE,
        random_rms_db=_figure(tones, lambda tone: tone.random_rms_db),
        random_peak_db=_figure(tones, lambda tone: tone.random_peak_db),
        leak_modulation=_figure(tones, lambda tone: tone.modulation, near=_NEAR_DEPTH),
        impulse_count=_count(tones, sweep=sweep),
        disturbed=tuple(sorted(told, key=lambda span: span.start_s)),
        has_ambient=has_ambient,
    )


def _largest(
    tones: Sequence[ToneDefects], of: Callable[[ToneDefects], Figure], *, near: float
) -> ToneDefects | None:
    # The tone whose figure stands for all: the largest estimate, unless some bound is more than
    # ``near`` above it, where more may be hidden than was heard elsewhere.
    heard = [tone for tone in tones if not of(tone).is_bound]
    most = max(tones, key=lambda tone: of(tone).value, default=None)
    loudest = max(heard, key=lambda tone: of(tone).value, default=None)
    if most is None or loudest is None or of(most).value > of(loudest).value + near:
        return most
    return loudest


def _figure(
    tones: Sequence[ToneDefects], of: Callable[[ToneDefects], Figure], *, near: float = _NEAR_DB
) -> Figure:
    tone = _largest(tones, of, near=near)
    return _NONE if tone is None else of(tone)


def _of_sweep(sweep: SweepDefects | None) -> Figure:
    if sweep is None or not np.isfinite(sweep.level_db).any():
        return _NONE
    at = int(np.nanargmax(sweep.level_db))
    return Figure(
        value=float(sweep.level_db[at]),
        uncertainty=float(sweep.level_uncertainty_db[at]),
        is_bound=bool(sweep.is_bound[at]),
    )


def _count(tones: Sequence[ToneDefects], *, sweep: SweepDefects | None) -> Figure:
    if not tones and sweep is None:
        return _NONE
    # A tone knows what repeats, a sweep must guess: it is asked only where no tone was played.
    count = (
        sum(tone.impulses.short_count for tone in tones)
        if tones
        else (sweep.impulses.short_count if sweep else 0)
    )
    return Figure(value=float(count), uncertainty=2 * math.sqrt(count), is_bound=False)
