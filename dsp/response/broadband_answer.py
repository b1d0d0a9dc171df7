"""What a channel answers to noise, a multitone or a file: it is compared with what was played."""

import numpy as np

from dsp.arrays import Floats
from dsp.errors import DspError
from dsp.excitation.excitation import Excitation
from dsp.excitation.segment import BroadbandSegment
from dsp.response.harmonics import Harmonics
from dsp.response.line_transfer import line_transfer
from dsp.response.local_transfer import local_transfer
from dsp.response.transfer import Transfer


def broadband_answer(
    channel: Floats,
    *,
    reference: Floats | None,
    excitation: Excitation,
    segment_index: int,
    frequency_hz: Floats,
) -> Harmonics:
    """Read the fundamental of a channel as if the drive were a sine of the segment's whole rms.

    ``amplitude[0]`` is the transfer function from the reference to the channel, times the rms of
    the drive in V. So the ratio of two channels read this way is the ratio of the channels, and
    a channel that repeats the drive holds its rms at every frequency.

    Parameters
    ----------
    channel : (n,) array
        Any unit, on the clock of the excitation.
    reference : (n,) array or None
        The channel that counts as the drive, V; None: the excitation itself.
    excitation : Excitation
        What was played.
    segment_index : int
        Which of its segments; a BroadbandSegment.
    frequency_hz : (m,) array
        Hz, strictly rising, where noise and files are to be read; a multitone is read at its own
        lines, whatever is asked for.

    Returns
    -------
    Harmonics, (1, m), unit of the channel; NaN outside the span of the segment.

    Raises
    ------
    DspError
        As `broadband_transfer`.
    """
    transfer = broadband_transfer(
        channel,
        reference=reference,
        excitation=excitation,
        segment_index=segment_index,
        frequency_hz=frequency_hz,
    )
    drive_v = drive_rms_v(excitation, segment_index=segment_index)
    return Harmonics(
        frequency_hz=transfer.frequency_hz,
        amplitude=transfer.ratio[None, :] * drive_v,
        noise=transfer.spread[None, :] * drive_v,
    )


def drive_rms_v(excitation: Excitation, *, segment_index: int) -> float:
    """Tell the rms of what a segment of noise, a multitone or a file plays.

    Parameters
    ----------
    excitation : Excitation
        V.
    segment_index : int
        Which of its segments; a BroadbandSegment.

    Returns
    -------
    float, V rms: of a multitone over a whole period, of others over all of the segment.

    Raises
    ------
    DspError
        A segment of another kind.
    """
    segment = _broadband(excitation, segment_index)
    length = segment.period or segment.stop - segment.start
    first = segment.start + segment.period  # the first period of a multitone rises from silence
    played = excitation.samples[first : first + length]
    return float(np.sqrt(np.mean(np.square(played))))


def broadband_transfer(
    channel: Floats,
    *,
    reference: Floats | None,
    excitation: Excitation,
    segment_index: int,
    frequency_hz: Floats,
) -> Transfer:
    """Compare a channel with what was played: ratio, its spread, and coherence.

    Parameters
    ----------
    channel, reference, excitation, segment_index, frequency_hz
        As for `broadband_answer`.

    Returns
    -------
    Transfer, (m,), the channel's unit over the reference's.

    Raises
    ------
    DspError
        A segment of another kind, a channel or reference that ends before it or is not finite,
        frequencies that do not rise from above 0, a multitone of less than two periods.
    """
    segment = _broadband(excitation, segment_index)
    if frequency_hz.size and (frequency_hz[0] <= 0 or np.any(np.diff(frequency_hz) <= 0)):
        raise DspError("broadband_answer", "frequencies do not rise from above 0 Hz")
    known = excitation.samples if reference is None else reference
    for samples in (channel, known):
        if samples.size < segment.stop:
            given, allowed = samples.size, f"from {segment.stop} samples"
            raise DspError("broadband_answer", "channel too short", given=given, allowed=allowed)
        if not np.all(np.isfinite(samples[segment.start : segment.stop])):
            raise DspError("broadband_answer", "samples that are not finite")
    rate_hz = excitation.sample_rate_hz
    if segment.period:
        periods = (segment.stop - segment.start) // segment.period - 1
        if periods < 1:
            raise DspError("broadband_answer", "less than two periods", given=segment.stop)
        part = slice(segment.start + segment.period, segment.start + (periods + 1) * segment.period)
        return line_transfer(
            channel[part],
            reference=known[part],
            periods=periods,
            lines=np.rint(segment.frequency_hz * segment.period / rate_hz).astype(np.int64),
            sample_rate_hz=rate_hz,
        )
    part = slice(segment.start, min(_decayed(excitation, segment), channel.size, known.size))
    found = local_transfer(
        channel[part], reference=known[part], sample_rate_hz=rate_hz, frequency_hz=frequency_hz
    )
    held = (frequency_hz >= segment.low_hz) & (frequency_hz <= segment.high_hz)
    return Transfer(
        frequency_hz=frequency_hz,
        ratio=np.where(held, found.ratio, np.nan),
        spread=np.where(held, found.spread, np.nan),
        coherence=np.where(held, found.coherence, np.nan),
    )


def _broadband(excitation: Excitation, segment_index: int) -> BroadbandSegment:
    segment = excitation.segments[segment_index]
    if not isinstance(segment, BroadbandSegment):
        kind = type(segment).__name__
        raise DspError("broadband_answer", "not a broadband segment", given=kind)
    return segment


def _decayed(excitation: Excitation, segment: BroadbandSegment) -> int:
    # Whatever is played next ends the silence in which the segment decays.
    later = [other.start for other in excitation.segments] + [*excitation.mark_starts]
    return min((start for start in later if start >= segment.stop), default=excitation.samples.size)
