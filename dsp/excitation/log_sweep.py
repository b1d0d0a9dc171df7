"""The exponential sweep, and the harmonics that a distorting unit makes of it."""

import numpy as np

from dsp.arrays import Floats
from dsp.errors import DspError
from dsp.excitation.rendered import Rendered
from dsp.excitation.segment import LogSweepSegment

# How high a sweep may run out, as a part of the sample rate: converters are flat that far.
_HIGHEST = 0.48
# The run-out in octaves, least and most; between them as far as _RUN_OUT_HZ, so that the band's
# edge does not ring longer than the windows through which responses are seen.
_RUN_OUT_OCTAVES, _RUN_OUT_HZ, _SHORTEST_RUN_OUT_S = (1 / 8, 1 / 2), 800.0, 0.003
_SHORTEST_FADE_S = 0.0025
# Harmonics leave the band of the converter; they are modelled until here.
_NYQUIST_FADE = (0.46, 0.49)


def log_sweep(
    *, sample_rate_hz: float, start_hz: float, stop_hz: float, duration_s: float, peak_v: float
) -> Rendered:
    """Render an exponential sweep that can be answered for from end to end.

    From ``start_hz`` to ``stop_hz`` it takes ``duration_s`` exactly. It then runs out a little
    higher while it fades, so that the fade lies beyond the span; where the sample rate leaves no
    room, the fade takes the last 2.5 ms.

    Parameters
    ----------
    sample_rate_hz : float
        Hz.
    start_hz, stop_hz : float
        Hz, the span.
    duration_s : float
        s from ``start_hz`` to ``stop_hz``.
    peak_v : float
        V.

    Returns
    -------
    Rendered, (n,) V, from zero to zero; its segment is a LogSweepSegment.

    Raises
    ------
    DspError
        A span that does not rise or leaves the band, a duration or peak not above 0, a sweep
        shorter than a period at ``start_hz``.

    References
    ----------
    A. Novak, P. Lotton, L. Simon, "Synchronized Swept-Sine", J. Audio Eng. Soc. 63 (2015) 786.
    """
    _refuse_bad_span(sample_rate_hz, (start_hz, stop_hz), duration_s)
    if not peak_v > 0:
        raise DspError("log_sweep", "no amplitude", given=peak_v, allowed="above 0 V")
    rate_s = duration_s / np.log(stop_hz / start_hz)
    octaves = np.clip(np.log2(1 + _RUN_OUT_HZ / stop_hz), *_RUN_OUT_OCTAVES)
    run_out_s = max(float(rate_s * np.log(2) * octaves), _SHORTEST_RUN_OUT_S)
    room_s = max(0.0, float(rate_s * np.log(_HIGHEST * sample_rate_hz / stop_hz)))
    count = round((duration_s + min(run_out_s, room_s)) * sample_rate_hz)
    segment = LogSweepSegment(
        start=0,
        stop=count,
        start_hz=start_hz,
        stop_hz=stop_hz,
        first_hz=start_hz,
        last_hz=float(start_hz * np.exp(count / sample_rate_hz / rate_s)),
        rate_s=float(rate_s),
        peak_v=peak_v,
    )
    return Rendered(
        samples=sweep_order(segment, order=1, sample_rate_hz=sample_rate_hz), segment=segment
    )


def _refuse_bad_span(
    sample_rate_hz: float, span_hz: tuple[float, float], duration_s: float
) -> None:
    start_hz, stop_hz = span_hz
    if not 0 < start_hz < stop_hz:
        raise DspError(
            "log_sweep",
            "start_hz not below stop_hz",
            given=start_hz,
            allowed=f"0 to {stop_hz:g} Hz",
        )
    if not stop_hz < sample_rate_hz / 2:
        limit = f"below {sample_rate_hz / 2:g} Hz, half the sample rate"
        raise DspError("log_sweep", "stop_hz too high", given=stop_hz, allowed=limit)
    if not duration_s * start_hz >= 1 or not np.isfinite(duration_s):
        limit = f"from {1 / start_hz:g} s, one period at start_hz"
        raise DspError("log_sweep", "duration_s too short", given=duration_s, allowed=limit)


def sweep_order(segment: LogSweepSegment, *, order: int, sample_rate_hz: float) -> Floats:
    """Render what a sweep would be if each of its periods were one of its nth harmonic.

    Order 1 is the sweep itself. Order n is peak_v sin(n phase), faded as the sweep is and where
    it leaves the band of the converters.

    Parameters
    ----------
    segment : LogSweepSegment
        The sweep.
    order : int
        1 and up.
    sample_rate_hz : float
        Hz.

    Returns
    -------
    (stop - start,) array, V.
    """
    time_s = np.arange(segment.stop - segment.start) / sample_rate_hz
    growth = np.expm1(time_s / segment.rate_s)
    phase = 2 * np.pi * segment.first_hz * segment.rate_s * growth
    out: Floats = segment.peak_v * np.sin(order * phase)
    if order > 1:
        low, high = _NYQUIST_FADE
        cycles_a_sample = order * segment.first_hz * (growth + 1) / sample_rate_hz
        room = np.clip((high - cycles_a_sample) / (high - low), 0, 1)
        out *= np.sin(np.pi / 2 * room) ** 2
    run_out_s = segment.rate_s * np.log(segment.last_hz / segment.stop_hz)
    # Only the second half of the run-out fades: harmonics fade faster, and that must not be seen.
    fade = round(max(run_out_s / 2, _SHORTEST_FADE_S) * sample_rate_hz)
    fade = min(fade, out.size)
    out[out.size - fade :] *= np.cos(np.pi / 2 * np.arange(1, fade + 1) / fade) ** 2
    out[-1] = 0.0
    return out


def highest_order_hz(sample_rate_hz: float) -> float:
    """Tell up to which frequency harmonics of a sweep are modelled in full.

    Parameters
    ----------
    sample_rate_hz : float
        Hz.

    Returns
    -------
    float, Hz, counted at the harmonic.
    """
    return _NYQUIST_FADE[0] * sample_rate_hz
