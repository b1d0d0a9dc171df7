"""What one coupling of the calibrator gave: voltage, frequency, and how steady and clean it was."""

from dataclasses import dataclass

from dsp.arrays import Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MicrophoneReading:
    """One coupling, heard by the microphone.

    Attributes
    ----------
    trace_s : (m,) array
        s from the start of the recording, middles of short stretches; for a plot.
    trace_db : (m,) array
        dB re 1 V rms at the microphone, the tone alone.
    settled_s : (start, stop)
        s, the part that was read; as long as nothing else held, the best there was.
    voltage_v : float
        V rms at the microphone's output.
    frequency_hz : float
        Hz, as found.
    noise_db : float
        dB, standard deviation that noise gives to the level.
    slope_db_per_s : float
        dB/s over the settled part.
    slope_noise_db_per_s : float
        dB/s, standard deviation of the slope that noise alone gives.
    fluctuation_db : float
        dB, half of what the level comes and goes by over the settled part, slope and noise out.
    snr_db : float
        dB, tone over noise, 20 Hz to 20 kHz or half the rate.
    distortion_percent : float
        %, harmonics over the tone.
    distortion_and_noise_percent : float
        %, everything but the tone over everything.
    hum_db : float
        dB re the tone, mains and its multiples; -inf where there is none.
    mains_hz : float
        Hz, 50 or 60, whichever is louder.
    clipped : bool
        Whether the converter ran into its rail.
    """

    trace_s: Floats
    trace_db: Floats
    settled_s: tuple[float, float]
    voltage_v: float
    frequency_hz: float
    noise_db: float
    slope_db_per_s: float
    slope_noise_db_per_s: float
    fluctuation_db: float
    snr_db: float
    distortion_percent: float
    distortion_and_noise_percent: float
    hum_db: float
    mains_hz: float
    clipped: bool
