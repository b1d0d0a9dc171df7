"""The span in which near field and far field both hold, and where to cross over in it."""

import math
from dataclasses import dataclass

from dsp.curve import ValidRange
from dsp.errors import DspError

NARROWEST_OCTAVES = 1 / 3
_WIDEST_OCTAVES = 1.0
# Up to here a near field stands within 0.1 dB for the far field (Keele 1974: 0.09 dB at ka = 0.5),
# so it is preferred where there is room below it.
_GOOD_SHARE = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlap:
    """Where one curve fades into the other.

    Attributes
    ----------
    low_hz, high_hz : float
        Hz; below all near field, above all far field.
    low_reason, high_reason : str
        What of the far field, and what of the near field, ends the span that both hold in.
    asked : bool
        Whether a person chose it.
    """

    low_hz: float
    high_hz: float
    low_reason: str
    high_reason: str
    asked: bool = False

    @property
    def middle_hz(self) -> float:
        """Where both count alike, Hz."""
        return math.sqrt(self.low_hz * self.high_hz)


def overlap_of(
    near: ValidRange, *, far: ValidRange, asked_hz: tuple[float, float] | None = None
) -> Overlap:
    """Choose where to cross over from near to far.

    Parameters
    ----------
    near, far : ValidRange
        Where each holds.
    asked_hz : (low, high) or None
        Hz; None: suggested: from where the far field holds, an octave at most, and not beyond half
        of the near field's span if a third of an octave can be had below that.

    Returns
    -------
    Overlap

    Raises
    ------
    DspError
        Both hold together in less than a third of an octave, or what was asked lies outside.
    """
    low, high = max(near.low_hz, far.low_hz), min(near.high_hz, far.high_hz)
    low_reason = far.low_reason if far.low_hz >= near.low_hz else near.low_reason
    high_reason = near.high_reason if near.high_hz <= far.high_hz else far.high_reason
    least = 2**NARROWEST_OCTAVES
    if not high >= low * least * (1 - 1e-9):
        raise DspError(
            "merge",
            "near field and far field share no third of an octave",
            given=f"near up to {high:.4g} Hz ({high_reason}), far from {low:.4g} Hz ({low_reason})",
            allowed="a longer gate, or a smaller radiator",
        )
    if asked_hz is not None:
        slack = 1e-9
        inside = low * (1 - slack) <= asked_hz[0] and asked_hz[1] <= high * (1 + slack)
        if not (inside and asked_hz[0] * least * (1 - slack) <= asked_hz[1]):
            raise DspError(
                "merge",
                "crossover outside what both hold",
                given=f"{asked_hz[0]:.4g} to {asked_hz[1]:.4g} Hz",
                allowed=f"a third of an octave or more within {low:.4g} to {high:.4g} Hz",
            )
        low, high = asked_hz
    else:
        good = near.high_hz * _GOOD_SHARE
        if good >= low * least:
            high = min(high, good)
        high = min(high, low * 2**_WIDEST_OCTAVES)
    return Overlap(
        low_hz=low,
        high_hz=high,
        low_reason=low_reason,
        high_reason=high_reason,
        asked=asked_hz is not None,
    )
