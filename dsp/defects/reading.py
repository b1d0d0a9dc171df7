"""All that one take tells of irregular defects."""

from dataclasses import dataclass

from dsp.defects.disturbed import Disturbed
from dsp.defects.figure import Figure
from dsp.defects.sweep_defects import SweepDefects
from dsp.defects.tone_defects import ToneDefects


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class DefectReading:
    """The tones one by one, the sweep, and the largest of each figure over all of them.

    Attributes
    ----------
    tones : tuple of ToneDefects
        In playing order; empty where none was played long enough.
    sweep : SweepDefects or None
        None where nothing was swept.
    rub_buzz_db : Figure
        dB re the fundamental, largest peak of what repeats, over the tones in which any stands
        clear of the noise, a bound where none does; without tones the largest level of the
        sweep's residual.
    high_order_db : Figure
        dB re the fundamental, H10 to H15, largest over the tones.
    sync_crest : Figure
        Of the tone that ``rub_buzz_db`` is from.
    random_rms_db : Figure
        dB re the fundamental, largest over the tones.
    random_peak_db : Figure
        dB re the fundamental, largest over the tones.
    leak_modulation : Figure
        0 to 1, largest over the tones.
    impulse_count : Figure
        Short impulses of the tones; of the sweep where none was played.
    disturbed : tuple of Disturbed
        What was left out, in order.
    has_ambient : bool
        Whether a second microphone listened to the surroundings.
    unheard : str
        Why none of these figures may be trusted: what was played was not heard; empty where it was.
    """

    tones: tuple[ToneDefects, ...]
    sweep: SweepDefects | None
    rub_buzz_db: Figure
    high_order_db: Figure
    sync_crest: Figure
    random_rms_db: Figure
    random_peak_db: Figure
    leak_modulation: Figure
    impulse_count: Figure
    disturbed: tuple[Disturbed, ...]
    has_ambient: bool
    unheard: str = ""
