"""The ratio of two channels over frequency, and how far it may be believed."""

from dataclasses import dataclass

from dsp.arrays import Complexes, Floats, read_only


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Transfer:
    """Channel over reference.

    Attributes
    ----------
    frequency_hz : (m,) array
        Hz, strictly rising.
    ratio : (m,) complex array
        In the channel's unit over the reference's; NaN where the reference holds nothing.
    spread : (m,) array
        Standard deviation of the real (equally of the imaginary) part of ``ratio``.
    coherence : (m,) array
        0 to 1: the share of the channel's power that the reference explains.
    """

    frequency_hz: Floats
    ratio: Complexes
    spread: Floats
    coherence: Floats

    def __post_init__(self) -> None:
        for name in ("frequency_hz", "ratio", "spread", "coherence"):
            object.__setattr__(self, name, read_only(getattr(self, name)))
