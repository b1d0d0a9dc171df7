"""How much faster the recorder's clock ran than the player's."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats
from dsp.excitation.excitation import Excitation
from dsp.response.align import Start
from dsp.response.marks import measure_marks


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockOffset:
    """The two clocks compared.

    Attributes
    ----------
    ppm : float
        1e-6; positive where the recorder took more samples than were played.
    standard_uncertainty_ppm : float
        1e-6, from the scatter of the phases.
    """

    ppm: float
    standard_uncertainty_ppm: float


def clock_offset(channel: Floats, *, excitation: Excitation, start: Start) -> ClockOffset:
    """Compare the clocks by the distance of the two marks in one channel.

    Both marks went through the same unit, so whatever it does to them cancels in the phase
    between the two; any channel that holds them will do.

    Parameters
    ----------
    channel : (n,) array
        Raw, any unit.
    excitation : Excitation
        What was played.
    start : Start
        Where it starts, found in this or another channel of the same recording.

    Returns
    -------
    ClockOffset

    Raises
    ------
    DspError
        The marks are not to be seen in this channel.
    """
    nominal = excitation.mark_starts[1] - excitation.mark_starts[0]
    first = start.marks.first
    marks = measure_marks(
        channel,
        excitation=excitation,
        first=first,
        second=first + int(np.rint(start.marks.distance)),
    )
    return ClockOffset(
        ppm=1e6 * (marks.distance / nominal - 1),
        standard_uncertainty_ppm=1e6 * marks.deviation / nominal,
    )
