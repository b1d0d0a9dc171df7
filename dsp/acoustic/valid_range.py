"""Where a response may be believed: above the noise, inside excitation, gate and microphone."""

import numpy as np

from dsp.arrays import Bools, Ints
from dsp.curve import ValidRange
from dsp.response.harmonics import Harmonics

NYQUIST_SHARE = 0.47  # of the sample rate; above it converters' filters are in their transition
_NOWHERE = ValidRange(low_hz=np.inf, high_hz=0.0, low_reason="noise", high_reason="noise")
_HALF_THIRD = 2 ** (1 / 6)


def valid_range(
    channel: Harmonics,
    *,
    snr_db: float,
    excitation: ValidRange,
    sample_rate_hz: float,
    gate_s: float | None = None,
    microphone: ValidRange | None = None,
) -> ValidRange:
    """Join all that limits where the fundamental of a channel can be believed.

    Parameters
    ----------
    channel : Harmonics
        Pressure for a response, current for an impedance.
    snr_db : float
        dB that the fundamental must stand above the noise, over a third of an octave.
    excitation : ValidRange
        Span that was asked for, Hz.
    sample_rate_hz : float
        Hz.
    gate_s : float or None
        s from the arrival to the end of the gate; None where nothing was cut. What was cut to T
        holds from 2 / T: there its taper costs some 0.2 dB of a smooth unit, more near a resonance.
    microphone : ValidRange or None
        Span of the microphone's table.

    Returns
    -------
    ValidRange, each end with the reason of the strictest; nowhere where noise covers everything.
    """
    found = excitation.within(above_noise(channel, snr_db=snr_db, excitation=excitation))
    rest = [_span(high_hz=NYQUIST_SHARE * sample_rate_hz, reason="Nyquist")]
    if gate_s is not None:
        rest.append(_span(low_hz=gate_low_hz(gate_s), reason="gate"))
    if microphone is not None:
        rest.append(microphone)
    for other in rest:
        found = found.within(other)
    return found


def gate_low_hz(gate_s: float) -> float:
    """Find from where on a response holds that was cut some time after its arrival.

    Parameters
    ----------
    gate_s : float
        s from the arrival to the cut.

    Returns
    -------
    float, Hz.
    """
    return 2 / gate_s


def baffle_low_hz(edge_m: float, *, speed_m_per_s: float) -> float:
    """Find from where on a finite baffle stands for an infinite one.

    Parameters
    ----------
    edge_m : float
        m, shortest way from the unit's centre to the edge.
    speed_m_per_s : float
        m/s, of sound.

    Returns
    -------
    float, Hz: where that way is half a wave. Below, the level falls towards full space (6 dB lower,
    or more with an open back); an octave above it, what comes from the edge still ripples.
    """
    return speed_m_per_s / (2 * edge_m)


def above_noise(channel: Harmonics, *, snr_db: float, excitation: ValidRange) -> ValidRange:
    """Find the connected span around the strongest part in which the fundamental beats the noise.

    Signal to noise is power against power, both parts of the noise counted: at 20 dB the
    magnitude is uncertain by 0.6 dB (standard), the phase by 4 degrees. Most points of the third
    of an octave around a point must have it, so that a single lucky or unlucky one decides
    nothing.

    Parameters
    ----------
    channel : Harmonics
        Any unit.
    snr_db : float
        dB.
    excitation : ValidRange
        Its reasons name an end of the data that noise does not set.

    Returns
    -------
    ValidRange, reason ``noise`` where noise ends it.
    """
    hz = channel.frequency_hz
    signal, noise = np.abs(channel.fundamental) ** 2, 2 * channel.noise[0] ** 2
    readable = np.isfinite(signal) & np.isfinite(noise) & (signal > 0)
    if not readable.any():
        return _NOWHERE
    hz, signal, noise = hz[readable], signal[readable], noise[readable]
    low = np.searchsorted(hz, hz / _HALF_THIRD * (1 - 1e-9))
    high = np.searchsorted(hz, hz * _HALF_THIRD * (1 + 1e-9))
    above = signal >= 10 ** (snr_db / 10) * noise
    enough = 2 * _counted(above, low=low, high=high) > high - low
    if not np.any(enough & above):
        return _NOWHERE
    run = _run(enough, around=int(np.argmax(np.where(enough & above, signal, 0.0))))
    # Ends of the data are ends of the excitation, not places where noise takes over.
    return ValidRange(
        low_hz=float(hz[run][0]),
        high_hz=float(hz[run][-1]),
        low_reason="noise" if run.start else excitation.low_reason,
        high_reason="noise" if run.stop < hz.size else excitation.high_reason,
    )


def _counted(above: Bools, *, low: Ints, high: Ints) -> Ints:
    running = np.concatenate([[0], np.cumsum(above)])
    counted: Ints = running[high] - running[low]
    return counted


def _run(enough: Bools, *, around: int) -> slice:
    # The run of true values that holds ``around``.
    gaps = np.flatnonzero(~enough)
    before, after = gaps[gaps < around], gaps[gaps > around]
    return slice(
        int(before[-1]) + 1 if before.size else 0, int(after[0]) if after.size else enough.size
    )


def _span(*, low_hz: float = 0.0, high_hz: float = np.inf, reason: str) -> ValidRange:
    return ValidRange(low_hz=low_hz, high_hz=high_hz, low_reason=reason, high_reason=reason)
