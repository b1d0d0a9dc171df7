"""Whether the microphone heard what was played at all: else nothing that it tells is a defect's."""

from collections.abc import Sequence

import numpy as np

from dsp.arrays import Floats
from dsp.defects.tone_defects import ToneDefects
from dsp.response.harmonics import Harmonics
from dsp.response.quiet_noise import QuietNoise

NOT_HEARD = "the microphone did not hear"
# A fundamental below ten times the power of what else may be in its line: noise alone comes there
# once in e^10, and any unit that moves stands thousands of times above.
_CLEAR = 10.0


def unheard(
    tones: Sequence[ToneDefects], *, swept: Harmonics | None, silence: Floats, noise: QuietNoise
) -> str:
    """Say what of an excitation was not heard.

    Parameters
    ----------
    tones : sequence of ToneDefects
        Those that figures stand on.
    swept : Harmonics or None
        Pa; asked only where no tone was played, for figures stand on tones where there are any.
    silence : (n,) array
        Pa, before the excitation: hum at a tone's own frequency is no tone.
    noise : QuietNoise
        Of the microphone's channel, Pa.

    Returns
    -------
    str, a reason; empty where all of it was heard.

    Notes
    -----
    Noise of one-sided density S gives the fit of a sine over T seconds a mean square amplitude of
    2 S / T (S. M. Kay, Fundamentals of Statistical Signal Processing, vol. 1, example 3.14: each
    of its two parts has the variance 2 sigma^2 / N).
    """
    if tones:
        hz = np.array([tone.frequency_hz for tone in tones])
        held_s = np.array([tone.periods for tone in tones]) / hz
        line = np.maximum(
            2 * noise.density_at(hz) / held_s,
            [
                _in_silence(silence, cycles=tone.frequency_hz / tone.sample_rate_hz)
                for tone in tones
            ],
        )
        heard = np.array([tone.fundamental_pa for tone in tones]) ** 2 > _CLEAR * line
        return _missed(sorted({*hz[~heard].tolist()}))
    if swept is not None:
        # rms, and the deviation of one of its two parts.
        clear = np.abs(swept.fundamental) ** 2 > _CLEAR * 2 * swept.noise[0] ** 2
        known = np.isfinite(swept.fundamental)
        if known.any() and 2 * np.count_nonzero(clear[known]) < np.count_nonzero(known):
            return f"{NOT_HEARD} the sweep"
    return ""


def _in_silence(silence: Floats, *, cycles: float) -> float:
    # The square of the amplitude that it holds at so many cycles a sample.
    turned = np.full(silence.size, np.exp(-2j * np.pi * cycles))
    np.multiply.accumulate(turned, out=turned)  # half the time of as many exponentials
    return float(np.abs(2 * np.mean((silence - np.mean(silence)) * turned)) ** 2)


def _missed(hz: Sequence[float]) -> str:
    if not hz:
        return ""
    *others, last = (f"{one:g}" for one in hz)
    tones = f"tones of {', '.join(others)} and {last}" if others else f"tone of {last}"
    return f"{NOT_HEARD} the {tones} Hz"
