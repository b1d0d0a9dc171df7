"""Finds where in a raw recording the excitation starts."""

from dataclasses import dataclass

from dsp.arrays import Floats
from dsp.excitation.excitation import Excitation
from dsp.response.marks import MarkPair, find_marks, mark_delay
from dsp.response.retime import retime

# Below this the channel's own phase, not its delay, decides; then whole samples are all one knows.
_SHARP = 0.97


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """Where the excitation starts.

    Attributes
    ----------
    sample : float
        Sample of the recording that was taken while sample 0 of the excitation was played;
        negative where the recording began later.
    sharp : bool
        Whether the fraction of a sample means something: true through a wire, false through a
        unit whose own phase hides it, where ``sample`` is whole.
    likeness : float
        How much of the mark came back as it was but for a delay, at most 1.
    marks : MarkPair
        What it was found from.
    """

    sample: float
    sharp: bool
    likeness: float
    marks: MarkPair


def find_start(channel: Floats, *, excitation: Excitation) -> Start:
    """Find the start of the excitation in a recording that began at any moment.

    The first mark is found by correlation together with the second at its known distance; the
    fraction of a sample comes from the slope of the phase over the mark's band. Neither needs the
    two clocks to agree.

    Parameters
    ----------
    channel : (n,) array
        Raw, any unit.
    excitation : Excitation
        What was played.

    Returns
    -------
    Start

    Raises
    ------
    DspError
        The recording is silent, ends before the second mark does, or holds another signal.
    """
    marks = find_marks(channel, excitation=excitation)
    nominal = excitation.mark_starts[1] - excitation.mark_starts[0]
    ratio = marks.distance / nominal
    margin = excitation.mark_samples // 4
    piece = retime(
        channel,
        start_sample=marks.first - margin * ratio,
        clock_offset_ppm=1e6 * (ratio - 1),
        length=excitation.mark_samples + 3 * margin,
    )
    slope = mark_delay(piece, excitation=excitation)
    sharp = slope.likeness >= _SHARP
    first = marks.first + ((slope.delay - margin) * ratio if sharp else 0.0)
    sample = first - excitation.mark_starts[0] * ratio
    return Start(
        sample=sample if sharp else float(round(sample)),
        sharp=sharp,
        likeness=slope.likeness,
        marks=marks,
    )
