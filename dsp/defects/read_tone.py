"""Reads steady tones: what repeats, what does not, and which periods something else fell in."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from dsp.arrays import Bools, Floats
from dsp.defects.band import band
from dsp.defects.disturbed import Disturbed
from dsp.defects.fold import Folded, fold
from dsp.defects.impulses import Impulses
from dsp.defects.impulses_found import Crossings, crossings, gathered
from dsp.defects.modulation import modulation
from dsp.defects.own_ringing import rings_of_itself
from dsp.defects.random_level import random_level
from dsp.defects.ranked import ranked
from dsp.defects.sync import Sync, sync
from dsp.defects.tone_defects import ToneDefects
from dsp.response.quiet_noise import QuietNoise

# What rings behind a crossing may pass the threshold again, and is no impulse of its own.
_SHADOW_S = 0.03
# A magnitude below this part of the repeating peak is that part's own drift.
_OF_SYNC = 0.15
# Something that rings in more periods than these is no accident: it is the unit's own.
_MOST_RINGING = 0.25
_FEWEST_PERIODS = 4


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ToneRead:
    """One tone, and what was found to be disturbed in it."""

    defects: ToneDefects
    disturbed: tuple[Disturbed, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Hold:
    """One tone's settled part without its steady level and H1 to H9.

    Attributes
    ----------
    rest : (n,) array
        Pa.
    fundamental : complex
        Pa, peak; phase as of a cosine at the first sample.
    frequency_hz : float
        Hz.
    start : int
        Sample of the excitation.
    """

    rest: Floats
    fundamental: complex
    frequency_hz: float
    start: int


def read_tones(
    holds: Sequence[Hold],
    *,
    noise: QuietNoise,
    sample_rate_hz: float,
    disturbed: Sequence[Disturbed],
) -> list[ToneRead]:
    """Read the tones of a take.

    Parameters
    ----------
    holds : sequence of Hold
        What was recorded of each.
    noise : QuietNoise
        Of the same channel.
    sample_rate_hz : float
        Hz.
    disturbed : sequence of Disturbed
        What the ambient channel told; periods in it are left out.

    Returns
    -------
    list of ToneRead, in the same order.
    """
    laid = [
        _laid(hold, noise=noise, sample_rate_hz=sample_rate_hz, disturbed=disturbed)
        for hold in holds
    ]
    if rings_of_itself([int(np.count_nonzero(one.ringing)) for one in laid]):
        laid = [_its_own(one) for one in laid]
    return [_read(one) for one in laid]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Laid:
    """A tone laid period under period, with what stands out of it.

    ``quiet``, (m,): periods in which the ambient channel told of nothing.
    """

    hold: Hold
    folded: Folded
    found: Crossings
    quiet: Bools
    noise_pa: float
    start_s: float

    @property
    def ringing(self) -> Bools:
        """What rings, of ``found``, where the ambient channel told of nothing."""
        columns = self.folded.residual.shape[1]
        rings: Bools = ~self.found.is_short & self.quiet[self.found.peak // columns]
        return rings


def _laid(
    hold: Hold, *, noise: QuietNoise, sample_rate_hz: float, disturbed: Sequence[Disturbed]
) -> _Laid:
    width = band(hold.rest.size, sample_rate_hz=sample_rate_hz, noise=noise)
    folded = fold(
        hold.rest,
        fundamental=hold.fundamental,
        periods=round(hold.rest.size * hold.frequency_hz / sample_rate_hz),
        band=width,
        rate_hz=sample_rate_hz,
    )
    start_s = hold.start / sample_rate_hz
    return _Laid(
        hold=hold,
        folded=folded,
        found=_found(folded),
        quiet=_undisturbed(folded, disturbed=disturbed, start_s=start_s),
        noise_pa=width.noise_pa,
        start_s=start_s,
    )


def _its_own(laid: _Laid) -> _Laid:
    # What rings counts as clicks do, and disturbs nothing.
    every = np.ones(laid.found.is_short.size, dtype=bool)
    return replace(laid, found=replace(laid.found, is_short=every))


def _read(laid: _Laid) -> ToneRead:
    hold, folded, quiet, start_s = laid.hold, laid.folded, laid.quiet, laid.start_s
    kept, told = _without_ringing(laid)
    repeating = sync(folded, kept=kept, frequency_hz=hold.frequency_hz)
    breathing = modulation(folded, kept=kept, sync_pa=repeating.mean_pa)
    random = random_level(folded, kept=kept, noise_pa=laid.noise_pa)
    return ToneRead(
        disturbed=told,
        defects=ToneDefects(
            frequency_hz=hold.frequency_hz,
            fundamental_pa=folded.fundamental_pa,
            high_order_db=repeating.high_order_db,
            sync_peak_db=repeating.peak_db,
            sync_crest=repeating.crest,
            place_rad=repeating.place_rad,
            random_rms_db=random.rms_db,
            random_peak_db=random.peak_db,
            modulation=breathing.depth,
            impulses=_impulses(
                folded, laid.found, sync=repeating, quiet=quiet, hold=hold, at=start_s
            ),
            sync_pa=repeating.mean_pa,
            phase_rad=folded.phase_rad,
            random_power=breathing.power,
            residual_pa=folded.residual.ravel(),
            start=hold.start,
            sample_rate_hz=folded.sample_rate_hz,
            noise_pa=laid.noise_pa,
            periods=folded.residual.shape[0],
            disturbed_periods=int(np.count_nonzero(~kept)),
        ),
    )


def _found(folded: Folded) -> Crossings:
    off = folded.white - ranked(folded.white, 0.5)
    along = gathered(off.ravel(), sample_rate_hz=folded.sample_rate_hz)
    energy = along.reshape(off.shape)
    # Where noise breathes, its own swelling is no impulse.
    within = ranked(energy, 0.5)
    width = max(within.size // 24, 1)
    wrapped = np.concatenate([within[-width:], within, within[:width]])
    total = np.concatenate([[0.0], np.cumsum(wrapped)])
    smooth = (total[2 * width :] - total[: -2 * width])[: within.size] / (2 * width)
    level = np.tile(np.maximum(smooth, np.median(energy)), off.shape[0])
    return crossings(along, level=level, sample_rate_hz=folded.sample_rate_hz)


def _undisturbed(folded: Folded, *, disturbed: Sequence[Disturbed], start_s: float) -> Bools:
    quiet = np.ones(folded.residual.shape[0], dtype=bool)
    period_s = folded.residual.shape[1] / folded.sample_rate_hz
    for span in disturbed:
        first = int(np.floor((span.start_s - start_s) / period_s))
        last = int(np.floor((span.stop_s - start_s) / period_s))
        if last >= 0:
            quiet[max(first, 0) : last + 1] = False
    return quiet


def _without_ringing(laid: _Laid) -> tuple[Bools, tuple[Disturbed, ...]]:
    folded, found, quiet, start_s = laid.folded, laid.found, laid.quiet, laid.start_s
    count, columns = folded.residual.shape
    ringing = laid.ringing
    kept = quiet.copy()
    told = []
    for first, last in zip(found.first[ringing], found.last[ringing], strict=True):
        stop = last + round(_SHADOW_S * folded.sample_rate_hz / 2)
        kept[first // columns : stop // columns + 1] = False
        told.append(
            Disturbed(
                start_s=start_s + first / folded.sample_rate_hz,
                stop_s=start_s + last / folded.sample_rate_hz,
                told_by="ringing",
            )
        )
    lost = np.count_nonzero(quiet) - np.count_nonzero(kept)
    if lost > _MOST_RINGING * count:
        kept, told = quiet, []
    if np.count_nonzero(kept) < min(_FEWEST_PERIODS, count):
        # Too little is left to read: all of it is, and what is told says that it was disturbed.
        kept = np.ones(count, dtype=bool)
    return kept, tuple(told)


def _impulses(
    folded: Folded, found: Crossings, *, sync: Sync, quiet: Bools, hold: Hold, at: float
) -> Impulses:
    rate_hz, columns = folded.sample_rate_hz, folded.residual.shape[1]
    off = np.abs((folded.residual - sync.mean_pa).ravel())
    near = round(0.3e-3 * rate_hz)
    peak_pa = np.array([np.max(off[max(k - near, 0) : k + near + 1]) for k in found.peak])
    counts = np.ones(found.peak.size, dtype=bool)
    counts &= quiet[found.peak // columns]
    counts &= peak_pa > _OF_SYNC * np.max(np.abs(sync.mean_pa))
    for last in found.last[~found.is_short]:
        behind = found.first - last
        counts &= ~((behind > 0) & (behind < _SHADOW_S * rate_hz))
    return Impulses(
        time_s=at + found.peak[counts] / rate_hz,
        peak_pa=peak_pa[counts],
        duration_s=(found.last - found.first)[counts] / rate_hz,
        is_short=found.is_short[counts],
        drive_hz=np.full(int(np.count_nonzero(counts)), hold.frequency_hz),
    )
