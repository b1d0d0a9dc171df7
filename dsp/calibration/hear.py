"""What every channel of a capture heard of a probe, brought to the time of one of them."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats, read_only
from dsp.errors import DspError
from dsp.excitation.excitation import Excitation
from dsp.response.align import find_start
from dsp.response.clock import clock_offset
from dsp.response.harmonics import Harmonics
from dsp.response.overload import overload
from dsp.response.retime import retime
from dsp.response.tone_answer import tone_answer

_NEGLIGIBLE_SAMPLES = 2e-4  # of drift over a whole probe: below what its marks can tell


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Heard:
    """A capture of a probe, read.

    Attributes
    ----------
    start_sample : float
        Sample of the capture at which the guiding channel hears the probe's first sample.
    sharp : bool
        Whether the fraction of that means something.
    clock_offset_ppm : float
        How much faster the recorder's clock ran; undone in what follows.
    channels : tuple of Harmonics
        One a column, in full-scale units, rms; phases against the probe, on the guiding
        channel's time.
    quiet : (m, c) array
        What the columns recorded while nothing played, full-scale units.
    clipped : tuple of bool
        Whether each column ran into its rail.
    """

    start_sample: float
    sharp: bool
    clock_offset_ppm: float
    channels: tuple[Harmonics, ...]
    quiet: Floats
    clipped: tuple[bool, ...]

    def __post_init__(self) -> None:
        object.__setattr__(self, "quiet", read_only(self.quiet))


def hear(samples: Floats, *, excitation: Excitation, by: int, orders: int = 1) -> Heard:
    """Read every column of a capture at the tones of a probe.

    Parameters
    ----------
    samples : (n, c) array
        Full-scale units, begun at any moment before the probe.
    excitation : Excitation
        A probe.
    by : int
        Column, from 0, that tells the time: a wire, where there is one.
    orders : int
        How many harmonics, the fundamental included.

    Returns
    -------
    Heard, c channels.

    Raises
    ------
    DspError
        No such column, or a capture that does not hold the probe.
    """
    if samples.ndim != 2 or not 0 <= by < samples.shape[1]:
        raise DspError("hear", "no such column", given=(samples.shape, by))
    guide = samples[:, by]
    start = find_start(guide, excitation=excitation)
    offset = clock_offset(start.marks, excitation=excitation)
    length = excitation.samples.size
    moved = abs(offset.ppm) * 1e-6 * length
    ppm = offset.ppm if moved > _NEGLIGIBLE_SAMPLES else 0.0
    at = start.sample if start.sharp else float(round(start.sample))
    columns = [
        retime(column, start_sample=at, clock_offset_ppm=ppm, length=length) for column in samples.T
    ]
    read = [
        tone_answer(column, excitation=excitation, segment_index=0, orders=orders)
        for column in columns
    ]
    return Heard(
        start_sample=start.sample,
        sharp=start.sharp,
        clock_offset_ppm=ppm,
        channels=tuple(read),
        clipped=tuple(overload(column).clipped for column in samples.T),
        quiet=np.column_stack([column[: excitation.quiet_stop] for column in columns]),
    )
