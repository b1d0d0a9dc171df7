"""How much faster the recorder's clock ran than the player's."""

from dataclasses import dataclass

from dsp.excitation.excitation import Excitation
from dsp.response.marks import MarkPair


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


def clock_offset(marks: MarkPair, *, excitation: Excitation) -> ClockOffset:
    """Compare the clocks by the distance of the two marks in one channel.

    Both marks went through the same unit, so whatever it does to them cancels in the phase
    between the two; any channel that holds them will do.

    Parameters
    ----------
    marks : MarkPair
        Where they came back.
    excitation : Excitation
        What was played.

    Returns
    -------
    ClockOffset
    """
    nominal = excitation.mark_starts[1] - excitation.mark_starts[0]
    return ClockOffset(
        ppm=1e6 * (marks.distance / nominal - 1),
        standard_uncertainty_ppm=1e6 * marks.deviation / nominal,
    )
