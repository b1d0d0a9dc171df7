"""A stretch of a take in which something else than the unit was heard."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Disturbed:
    """One disturbed moment.

    Attributes
    ----------
    start_s, stop_s : float
        s from the start of the excitation.
    told_by : str
        ``ambient``: the second microphone heard it; ``ringing``: it rings longer than a click
        and does not repeat.
    """

    start_s: float
    stop_s: float
    told_by: Literal["ambient", "ringing"]
