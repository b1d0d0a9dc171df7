"""Lays out an excitation: silence, a mark, the parts, room to decay, the same mark, silence."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from dsp.arrays import Floats
from dsp.errors import DspError
from dsp.excitation.excitation import Excitation
from dsp.excitation.mark import mark
from dsp.excitation.rendered import Rendered
from dsp.excitation.segment import BroadbandSegment, LogSweepSegment, Segment, ToneSegment

_MARK_S = 0.015
_END_S = 0.06
_LOWEST_MARK_HZ = 200.0
# Five octaves tell a delay as well as ten, and leave a resonance at the bottom in peace.
_MARK_OCTAVES = 5.0
# Parts that end low get a mark of two octaves at least: higher up it is small and harmless.
_NARROWEST_OCTAVES = 2.0
_HIGHEST = 0.45


def assemble(
    parts: Sequence[Rendered],
    *,
    sample_rate_hz: float,
    repeat: int = 1,
    quiet_s: float = 0.25,
    gap_s: float = 0.06,
    tail_s: float = 0.15,
    mark_peak_v: float | None = None,
    mark_band_hz: tuple[float, float] | None = None,
) -> Excitation:
    """Lay parts out one after the other between two identical marks.

    Parameters
    ----------
    parts : sequence of Rendered
        In the order in which they are played.
    sample_rate_hz : float
        Hz, of every part.
    repeat : int
        How often each part is played in a row.
    quiet_s : float
        s of silence first, for the measurement of noise.
    gap_s : float
        s between the mark and the first part.
    tail_s : float
        s after each part, in which the unit and the room decay.
    mark_peak_v : float or None
        V; None: the smallest of the parts' peaks.
    mark_band_hz : tuple of two floats or None
        Hz; None: the upper five octaves of what the parts span.

    Returns
    -------
    Excitation, (n,) V, zero at both ends.

    Raises
    ------
    DspError
        No parts, ``repeat`` below 1, a silence below 20 ms, a part without signal, a mark band
        that the sample rate does not hold.
    """
    if not parts or repeat < 1:
        raise DspError("assemble", "nothing to play", given=(len(parts), repeat), allowed="from 1")
    if quiet_s < 0.02 or gap_s < 0 or tail_s < 0:
        raise DspError("assemble", "silence too short", given=(quiet_s, gap_s, tail_s))
    peaks = [float(np.max(np.abs(part.samples))) if part.samples.size else 0.0 for part in parts]
    if min(peaks) <= 0:
        raise DspError("assemble", "a part without signal", given=peaks.index(min(peaks)))
    low_hz, high_hz = mark_band_hz or _mark_band(parts, sample_rate_hz)
    chirp = mark(
        sample_rate_hz=sample_rate_hz,
        low_hz=low_hz,
        high_hz=high_hz,
        peak_v=mark_peak_v or min(peaks),
        duration_s=_MARK_S,
    )

    def silence(seconds: float) -> Floats:
        return np.zeros(round(seconds * sample_rate_hz))

    pieces: list[Floats] = [silence(quiet_s), chirp, silence(gap_s)]
    segments: list[Segment] = []
    at = sum(piece.size for piece in pieces)
    for part in parts:
        for _ in range(repeat):
            segments.append(_moved(part.segment, by=at))
            pieces += [part.samples, silence(tail_s)]
            at += part.samples.size + pieces[-1].size
    pieces += [chirp, silence(_END_S)]
    return Excitation(
        samples=np.concatenate(pieces),
        sample_rate_hz=sample_rate_hz,
        segments=tuple(segments),
        quiet_stop=pieces[0].size,
        mark_starts=(pieces[0].size, at),
        mark_samples=chirp.size,
    )


def _mark_band(parts: Sequence[Rendered], sample_rate_hz: float) -> tuple[float, float]:
    spans = [_span(part.segment) for part in parts]
    low_hz = max(min(low for low, _ in spans), _LOWEST_MARK_HZ)
    high_hz = max(max(high for _, high in spans), low_hz * 2**_NARROWEST_OCTAVES)
    high_hz = min(high_hz, _HIGHEST * sample_rate_hz)
    low_hz = min(low_hz, high_hz / 2**_NARROWEST_OCTAVES)
    return max(low_hz, high_hz / 2**_MARK_OCTAVES), high_hz


def _span(segment: Segment) -> tuple[float, float]:
    match segment:
        case LogSweepSegment():
            return segment.start_hz, segment.stop_hz
        case ToneSegment():
            return float(np.min(segment.frequency_hz)), float(np.max(segment.frequency_hz))
        case BroadbandSegment():
            return segment.low_hz, segment.high_hz


def _moved(segment: Segment, *, by: int) -> Segment:
    match segment:
        case ToneSegment():
            return replace(
                segment,
                start=segment.start + by,
                stop=segment.stop + by,
                hold_start=segment.hold_start + by,
                hold_stop=segment.hold_stop + by,
            )
        case LogSweepSegment() | BroadbandSegment():
            return replace(segment, start=segment.start + by, stop=segment.stop + by)
