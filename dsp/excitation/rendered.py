"""One part of an excitation, rendered but not yet laid out."""

from dataclasses import dataclass

from dsp.arrays import Floats, read_only
from dsp.excitation.segment import Segment


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Rendered:
    """Samples of one part, ramps included, and its map, counted from the part's own first sample.

    Attributes
    ----------
    samples : (n,) array
        V across the terminals.
    segment : Segment
        ``start`` = 0, ``stop`` = n.
    """

    samples: Floats
    segment: Segment

    def __post_init__(self) -> None:
        object.__setattr__(self, "samples", read_only(self.samples))
