"""What a channel answers to steady tones: fundamental and harmonics at each, with their noise."""

import numpy as np

from dsp.arrays import Complexes, Floats
from dsp.errors import DspError
from dsp.excitation.excitation import Excitation
from dsp.excitation.segment import ToneSegment
from dsp.response.harmonic_fit import harmonic_fit
from dsp.response.harmonics import Harmonics
from dsp.response.line_noise import line_noise, quiet_spectrum

_SAME = 1e-9


def tone_answer(
    channel: Floats, *, excitation: Excitation, segment_index: int, orders: int
) -> Harmonics:
    """Read every tone of a stepped sine, or of a few long tones, by a joint least-squares fit.

    Parameters
    ----------
    channel : (n,) array
        Any unit, on the clock of the excitation.
    excitation : Excitation
        What was played.
    segment_index : int
        Which of its segments; a ToneSegment.
    orders : int
        How many orders; NaN where an order lies above 0.47 of the sample rate.

    Returns
    -------
    Harmonics, (orders, m) at m rising frequencies, unit of the channel; tones that were played
    more than once are averaged, weighted by their length.

    Raises
    ------
    DspError
        A segment of another kind, no order, a channel that ends too soon or is not finite, a tone
        held for less than two periods, a tone repeated at another level.
    """
    segment = excitation.segments[segment_index]
    if not isinstance(segment, ToneSegment):
        kind = type(segment).__name__
        raise DspError("tone_answer", "not a segment of tones", given=kind)
    if orders < 1:
        raise DspError("tone_answer", "orders outside", given=orders, allowed="1 and above")
    cycles = segment.frequency_hz / excitation.sample_rate_hz
    lengths = segment.hold_stop - segment.hold_start
    # Whole periods are held to the nearest sample: half a sample may be missing.
    if np.any(short := (lengths + 0.5) * cycles < 2):
        hz = float(segment.frequency_hz[np.argmax(short)])
        raise DspError("tone_answer", "held for less than two periods", given=f"{hz:g} Hz")
    if channel.size < (last := int(segment.hold_stop.max())):
        raise DspError(
            "tone_answer", "channel too short", given=channel.size, allowed=f"from {last} samples"
        )
    holds = [
        channel[start:stop]
        for start, stop in zip(segment.hold_start, segment.hold_stop, strict=True)
    ]
    if not all(np.all(np.isfinite(hold)) for hold in holds):
        raise DspError("tone_answer", "samples that are not finite")
    fit = harmonic_fit(holds, cycles_a_sample=cycles, orders=orders)
    quiet = quiet_spectrum(channel[: excitation.quiet_stop])
    around = line_noise(fit.residuals, cycles_a_sample=cycles, orders=orders, quiet=quiet)
    order = np.arange(1, orders + 1)
    middle = (segment.hold_start + segment.hold_stop - 1) / 2 - segment.start
    turns = (middle * cycles) % 1 + segment.phase_rad / (2 * np.pi) - 0.25
    readable = order <= fit.orders[:, None]
    turned = fit.phasor * np.exp(-2j * np.pi * order * turns[:, None]) / np.sqrt(2)
    noise = fit.spread * np.sqrt(around.density / 2)
    return _averaged(
        segment,
        amplitude=np.where(readable, turned, np.nan),
        noise=np.where(readable, noise, np.nan),
    )


def _averaged(segment: ToneSegment, *, amplitude: Complexes, noise: Floats) -> Harmonics:
    rising = np.argsort(segment.frequency_hz, kind="stable")
    hz = segment.frequency_hz[rising]
    first = np.concatenate([[True], np.diff(hz) > _SAME * hz[1:]])
    group = np.cumsum(first) - 1
    peak = segment.peak_v[rising]
    if np.any(np.abs(peak - peak[first][group]) > _SAME * peak):
        raise DspError("tone_answer", "a tone repeated at another level", given="peak_v")
    length = (segment.hold_stop - segment.hold_start)[rising].astype(np.float64)
    share = (length / np.bincount(group, weights=length)[group])[:, None]
    starts = np.flatnonzero(first)
    variance = np.add.reduceat(np.square(noise[rising] * share), starts)
    return Harmonics(
        frequency_hz=hz[first],
        amplitude=np.add.reduceat(amplitude[rising] * share, starts).T,
        noise=np.sqrt(variance).T,
    )
