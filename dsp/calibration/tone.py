"""A steady tone in a recording: where it lies, and how loud it is from moment to moment."""

import math
from dataclasses import dataclass

import numpy as np
from scipy import fft

from dsp.arrays import Complexes, Floats, read_only
from dsp.errors import DspError
from dsp.response.harmonic_fit import HIGHEST, harmonic_fit

# One stretch of the trace: five or six periods of mains, so that hum falls between its lines.
STRETCH_S = 0.1
_LOWEST_HZ = 30.0
_NEAR = 0.05  # part of the named frequency that is looked at first
_LOUDER = 4.0  # amplitude ratio at which something elsewhere is taken for the tone


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ToneTrace:
    """The tone in consecutive stretches of a recording.

    Attributes
    ----------
    middle_s : (m,) array
        s from the start of the recording.
    phasor : (m,) complex array
        Peak, in the recording's unit; turns by the difference between the true frequency and
        ``frequency_hz``.
    residual : (m, n) array
        What a level, the tone and its harmonics leave of each stretch.
    harmonics : (m, k) complex array
        Peak, from the second on.
    frequency_hz : float
        Hz, that ``phasor`` counts from.
    spread : float
        Standard deviation of either part of ``phasor`` for noise of 1 a sample.
    """

    middle_s: Floats
    phasor: Complexes
    residual: Floats
    harmonics: Complexes
    frequency_hz: float
    spread: float

    def __post_init__(self) -> None:
        for name in ("middle_s", "phasor", "residual", "harmonics"):
            object.__setattr__(self, name, read_only(getattr(self, name)))


def find_tone(samples: Floats, *, sample_rate_hz: float, near_hz: float) -> float:
    """Find the tone that is meant; another one only where it is much louder.

    Parameters
    ----------
    samples : (n,) array
        Any unit.
    sample_rate_hz : float
        Hz.
    near_hz : float
        Hz, as the instrument states it.

    Returns
    -------
    float, Hz, to about a hundredth of what the length of the recording resolves.

    Raises
    ------
    DspError
        A frequency beyond what the sample rate holds.
    """
    highest = HIGHEST * sample_rate_hz
    if not _LOWEST_HZ <= near_hz <= highest:
        allowed = f"{_LOWEST_HZ:g} to {highest:g} Hz"
        raise DspError("find_tone", "frequency outside", given=f"{near_hz:g} Hz", allowed=allowed)
    # Twice as long with zeros: the parabola through three points is then good enough.
    size = fft.next_fast_len(2 * samples.size, real=True)
    spectrum = np.abs(fft.rfft((samples - np.mean(samples)) * np.hanning(samples.size), size))
    hz = fft.rfftfreq(size, 1 / sample_rate_hz)
    heard = np.where((hz >= _LOWEST_HZ) & (hz <= highest), spectrum, 0.0)
    near = np.where(np.abs(hz / near_hz - 1) <= _NEAR, heard, 0.0)
    there = int(np.argmax(near))
    loudest = int(np.argmax(heard))
    if heard[loudest] > _LOUDER * heard[there]:
        there = loudest
    return float((there + _peak(spectrum[there - 1 : there + 2])) * sample_rate_hz / size)


def tone_trace(
    samples: Floats,
    *,
    sample_rate_hz: float,
    frequency_hz: float,
    above_hz: Floats | None = None,
    orders: int = 10,
) -> ToneTrace:
    """Fit level, tone and harmonics to one stretch after the other.

    Parameters
    ----------
    samples : (n,) array
        Any unit, one stretch of 0.1 s or more.
    sample_rate_hz : float
        Hz.
    frequency_hz : float
        Hz, from ``find_tone``.
    above_hz : (m,) array or None
        Hz, by how much each stretch lies above it, from ``wandering_hz``: what is left is then
        free of a tone that does not keep its frequency.
    orders : int
        How many harmonics, the tone included.

    Returns
    -------
    ToneTrace, in the unit of ``samples``.

    Raises
    ------
    DspError
        Less than one stretch.
    """
    length = round(STRETCH_S * sample_rate_hz)
    count = samples.size // length
    if not count:
        given, allowed = f"{samples.size / sample_rate_hz:g} s", f"from {STRETCH_S} s"
        raise DspError("tone_trace", "too short", given=given, allowed=allowed)
    cut = samples[: count * length].reshape(count, length)
    each_hz = np.full(count, frequency_hz) if above_hz is None else frequency_hz + above_hz
    fit = harmonic_fit(list(cut), cycles_a_sample=each_hz / sample_rate_hz, orders=orders)
    middle: Floats = np.arange(count, dtype=np.float64) * length + (length - 1) / 2
    phasor = fit.phasor[:, 0] * np.exp(-2j * math.pi * frequency_hz / sample_rate_hz * middle)
    return ToneTrace(
        middle_s=np.asarray(middle / sample_rate_hz, dtype=np.float64),
        phasor=phasor,
        residual=np.stack(fit.residuals),
        harmonics=fit.phasor[:, 1 : int(np.min(fit.orders))].copy(),
        frequency_hz=frequency_hz,
        spread=float(fit.spread[0, 0]),
    )


def wandering_hz(trace: ToneTrace) -> Floats:
    """Find how far each stretch lies above the frequency at which it was fitted.

    Parameters
    ----------
    trace : ToneTrace
        Fitted within a few hertz.

    Returns
    -------
    (m,) array, Hz; where there is no tone, no more than what a stretch resolves.
    """
    if trace.phasor.size < 2:
        return np.zeros(trace.phasor.size)
    most_hz = 0.2 / STRETCH_S
    slope = np.gradient(np.unwrap(np.angle(trace.phasor)), STRETCH_S)
    hz: Floats = np.clip(slope / (2 * math.pi), -most_hz, most_hz)
    return hz


def turning_hz(phasor: Complexes, *, every_s: float) -> float:
    """Find by how much a tone lies above the frequency at which it was fitted.

    Weights that the noise of unwrapped phases asks for are a straight line's least squares.

    Parameters
    ----------
    phasor : (m,) complex array
        Of consecutive stretches.
    every_s : float
        s from one to the next.

    Returns
    -------
    float, Hz; 0 for a single stretch.
    """
    if phasor.size < 2:
        return 0.0
    phase = np.unwrap(np.angle(phasor))
    place = np.arange(phasor.size) - (phasor.size - 1) / 2
    slope = float(place @ phase / (place @ place))
    return slope / (2 * math.pi * every_s)


def _peak(three: Floats) -> float:
    # Top of a parabola through three levels in dB, from the middle one.
    if three.size < 3 or np.any(three <= 0):
        return 0.0
    before, here, after = np.log(three)
    bend = before - 2 * here + after
    return float((before - after) / (2 * bend)) if bend < 0 else 0.0
