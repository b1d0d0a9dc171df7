"""Gaussian noise between two frequencies, pink or white, with its peaks held."""

from typing import Literal

import numpy as np
from scipy import fft

from dsp.arrays import Floats
from dsp.errors import DspError
from dsp.excitation.allowed import require_positive, require_span
from dsp.excitation.crest import crest_db as crest_of
from dsp.excitation.fade import FADE_S, faded
from dsp.excitation.held_peaks import held_peaks
from dsp.excitation.rendered import Rendered
from dsp.excitation.segment import BroadbandSegment

Colour = Literal["pink", "white"]

_LOWEST_CREST_DB = 6.0


def noise(
    *,
    sample_rate_hz: float,
    colour: Colour,
    start_hz: float,
    stop_hz: float,
    duration_s: float,
    rms_v: float,
    crest_db: float,
    rng: np.random.Generator,
) -> Rendered:
    """Render band-limited Gaussian noise whose peaks stay within a crest factor.

    Outside the band nothing is played but what the 5 ms ramps spread. Peaks are brought down by
    turning phases, so the spectrum stays that of the noise that was drawn: pink falls by
    10 dB a decade, and no distortion of a clipper fills its upper end.

    Parameters
    ----------
    sample_rate_hz : float
        Hz.
    colour : str
        ``pink`` (the same power in every octave) or ``white`` (in every hertz).
    start_hz, stop_hz : float
        Hz, the band.
    duration_s : float
        s, ramps included.
    rms_v : float
        V rms of the whole part, ramps included: exact.
    crest_db : float
        dB, from 6; what the peaks are held to, a draw with lower ones is left alone.
    rng : numpy.random.Generator
        Where the noise is drawn from.

    Returns
    -------
    Rendered, with a BroadbandSegment; V.

    Raises
    ------
    DspError
        A band that the rate or the duration cannot hold, a colour unknown, no level, a crest
        factor below 6 dB or one that this draw cannot be brought to.
    """
    require_span("noise", start_hz=start_hz, stop_hz=stop_hz, sample_rate_hz=sample_rate_hz)
    require_positive("noise", duration_s=duration_s, rms_v=rms_v)
    if not crest_db >= _LOWEST_CREST_DB:
        raise DspError("noise", "crest_db outside", given=crest_db, allowed="6 dB and above")
    count, ramp = round(duration_s * sample_rate_hz), int(np.ceil(FADE_S * sample_rate_hz))
    length = fft.next_fast_len(max(count, 2), real=True)
    bins_hz = np.arange(length // 2 + 1) * sample_rate_hz / length
    magnitude = _spectrum(bins_hz, colour=colour, start_hz=start_hz, stop_hz=stop_hz)
    # Real and imaginary parts are normal: so is every sample of their sum.
    drawn = rng.standard_normal((2, magnitude.size))
    magnitude *= np.hypot(drawn[0], drawn[1])
    phase = np.arctan2(drawn[1], drawn[0])
    goal_db = crest_db
    for _ in range(6):
        wave = held_peaks(magnitude, phase, samples=length, goal_db=goal_db)
        samples = faded(wave[:count], fade_samples=ramp)
        excess = crest_of(samples) - crest_db
        if excess <= 0:
            break
        goal_db -= excess + 0.01  # the ramps took some of the rms
    else:
        reached = f"{crest_db + excess:.2f} dB and above"
        raise DspError("noise", "peaks cannot be held", given=crest_db, allowed=reached)
    samples *= rms_v / np.sqrt(np.mean(np.square(samples)))
    return Rendered(
        samples=samples,
        segment=BroadbandSegment(
            start=0, stop=count, low_hz=start_hz, high_hz=stop_hz, frequency_hz=np.zeros(0)
        ),
    )


def _spectrum(bins_hz: Floats, *, colour: Colour, start_hz: float, stop_hz: float) -> Floats:
    inside = (bins_hz >= start_hz) & (bins_hz <= stop_hz)
    if np.count_nonzero(inside) < 3:
        given = f"{start_hz:g} to {stop_hz:g} Hz"
        allowed = f"at least {4 * bins_hz[1]:g} Hz wide, or longer"
        raise DspError("noise", "too short for this band", given=given, allowed=allowed)
    out = inside.astype(np.float64)
    match colour:
        case "pink":
            out[inside] /= np.sqrt(bins_hz[inside])
        case "white":
            pass
        case _:
            raise DspError("noise", "unknown colour", given=colour, allowed="pink, white")
    return out
