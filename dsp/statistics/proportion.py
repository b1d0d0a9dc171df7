"""A share that was counted, with what the count proves."""

from dataclasses import dataclass

from scipy.special import betaincinv

from dsp.errors import DspError


@dataclass(frozen=True, slots=True, kw_only=True)
class Proportion:
    """How many of how many, and between what the true share lies.

    Attributes
    ----------
    count, of : int
        Those counted, and all of them.
    low, high : float
        0 to 1: both ends of the interval; 0 and 1 where nothing was counted.
    confidence : float
        How often such an interval holds the true share, at least.
    """

    count: int
    of: int
    low: float
    high: float
    confidence: float

    @property
    def share(self) -> float:
        """What was counted, 0 to 1; NaN of none."""
        return self.count / self.of if self.of else float("nan")


def proportion(count: int, *, of: int, confidence: float = 0.95) -> Proportion:
    """Find the exact interval of a share (C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404).

    Parameters
    ----------
    count, of : int
        From 0; ``count`` not above ``of``.
    confidence : float
        Of both sides together, between 0 and 1.

    Returns
    -------
    Proportion; the interval never holds the share less often than it says.

    Raises
    ------
    DspError
        Counts or confidence outside.
    """
    if not 0 <= count <= of:
        raise DspError("proportion", "count outside", given=count, allowed=f"0 to {of}")
    if not 0 < confidence < 1:
        raise DspError(
            "proportion", "confidence outside", given=confidence, allowed="between 0 and 1"
        )
    tail = (1 - confidence) / 2
    return Proportion(
        count=count,
        of=of,
        low=0.0 if count == 0 else float(betaincinv(count, of - count + 1, tail)),
        high=1.0 if count == of else float(betaincinv(count + 1, of - count, 1 - tail)),
        confidence=confidence,
    )
