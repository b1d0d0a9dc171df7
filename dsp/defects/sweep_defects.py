"""What a sweep shows beside its regular harmonics, over the frequency that it passed."""

from dataclasses import dataclass

from dsp.arrays import Bools, Floats, read_only
from dsp.defects.impulses import Impulses
from dsp.excitation.segment import LogSweepSegment


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SweepDefects:
    """The residual of a sweep: the pressure less its fundamental and H2 to H9, above 0.8 kHz.

    Attributes
    ----------
    frequency_hz : (m,) array
        Hz, what was played: the middle of each stretch, log spaced.
    level_db : (m,) array
        dB, rms of the residual re that of the fundamental; the noise of the silence taken out.
    peak_db : (m,) array
        dB, its largest magnitude re the fundamental's peak.
    crest : (m,) array
        Peak over rms.
    level_uncertainty_db : (m,) array
        dB, k = 2, of ``level_db``; NaN at bounds.
    is_bound : (m,) bool array
        True: noise hides the residual; ``level_db`` and ``peak_db`` are what it is at most.
    noise_db : (m,) array
        dB, rms of the noise re that of the fundamental.
    impulses : Impulses
        Above the level of the residual about them.
    residual_pa : (n,) array
        Pa, from ``start`` on.
    start : int
        Sample of the excitation at which ``residual_pa`` begins.
    sample_rate_hz : float
        Hz.
    segment : LogSweepSegment
        What was played.
    """

    frequency_hz: Floats
    level_db: Floats
    peak_db: Floats
    crest: Floats
    level_uncertainty_db: Floats
    is_bound: Bools
    noise_db: Floats
    impulses: Impulses
    residual_pa: Floats
    start: int
    sample_rate_hz: float
    segment: LogSweepSegment

    def __post_init__(self) -> None:
        for name in (
            "frequency_hz",
            "level_db",
            "peak_db",
            "crest",
            "level_uncertainty_db",
            "is_bound",
            "noise_db",
            "residual_pa",
        ):
            object.__setattr__(self, name, read_only(getattr(self, name)))
