"""What one steady tone shows beside its regular harmonics."""

from dataclasses import dataclass

from dsp.arrays import Floats, read_only
from dsp.defects.figure import Figure
from dsp.defects.impulses import Impulses


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ToneDefects:
    """One tone, read: the part that repeats with its period, and the part that does not.

    Levels in dB are re the fundamental: peaks re its peak, rms re its rms. The residual is the
    pressure less its steady level and H1 to H9, from 0.8 to 15 kHz.

    Attributes
    ----------
    frequency_hz : float
        Hz.
    fundamental_pa : float
        Pa, peak.
    high_order_db : Figure
        dB, H10 to H15 together.
    sync_peak_db : Figure
        dB, largest magnitude of the part that repeats.
    sync_crest : Figure
        Peak over rms of the part that repeats; a sine has 1.41.
    place_rad : float
        rad, where in the cycle of the displacement that peak lies: 0 outermost, pi innermost,
        to either side of it -pi/2 on the way out, pi/2 on the way in; NaN where it is a bound.
    random_rms_db : Figure
        dB, of what does not repeat, the noise of the silence taken out.
    random_peak_db : Figure
        dB, of what does not repeat.
    modulation : Figure
        0 to 1: by how much the power of what does not repeat follows the cycle, once or twice a
        period; a leak breathes, noise does not.
    impulses : Impulses
        Of what does not repeat.
    sync_pa, phase_rad : (k,) arrays
        Pa, one period of what repeats; rad in (-pi, pi], its place in the cycle of the
        displacement, as ``place_rad``.
    random_power : (b,) array
        Pa^2, median over the periods, in b equal parts of the cycle of the displacement, from
        -pi on.
    residual_pa : (n,) array
        Pa, the residual, repeating and random together.
    start : int
        Sample of the excitation at which ``residual_pa`` begins.
    sample_rate_hz : float
        Hz.
    noise_pa : float
        Pa rms, what the silence before the excitation holds in the same band.
    periods, disturbed_periods : int
        How many were read, and how many of them were left out as disturbed.
    """

    frequency_hz: float
    fundamental_pa: float
    high_order_db: Figure
    sync_peak_db: Figure
    sync_crest: Figure
    place_rad: float
    random_rms_db: Figure
    random_peak_db: Figure
    modulation: Figure
    impulses: Impulses
    sync_pa: Floats
    phase_rad: Floats
    random_power: Floats
    residual_pa: Floats
    start: int
    sample_rate_hz: float
    noise_pa: float
    periods: int
    disturbed_periods: int

    def __post_init__(self) -> None:
        for name in ("sync_pa", "phase_rad", "random_power", "residual_pa"):
            object.__setattr__(self, name, read_only(getattr(self, name)))
