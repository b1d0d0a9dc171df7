"""Whether something conforms, and by how much: for one mask, and for all of them together."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Verdict(StrEnum):
    """The answers of a conformance test (ISO/IEC 9646; guard band of JCGM 106:2012).

    A single mask has one of the first three; the last is that of a test without any mask, which
    ETSI ES 201 873-1 names apart from an inconclusive one, too.
    """

    CONFORMS = "conforms"
    DOES_NOT_CONFORM = "does not conform"
    NOT_DECIDED = "not decided"
    NOT_JUDGED = "not judged"


@dataclass(frozen=True, slots=True, kw_only=True)
class MaskResult:
    """One quantity held against one mask.

    Attributes
    ----------
    verdict : Verdict
        The answer.
    margin : float
        Distance to the nearest limit in the quantity's unit, positive inside; NaN where the mask
        could not be judged anywhere.
    nearest_hz : float or None
        Hz at which the margin is smallest; None for a single number.
    reason : str
        Why nothing was decided, or what the limit was aligned by; empty otherwise.
    """

    verdict: Verdict
    margin: float
    nearest_hz: float | None = None
    reason: str = ""


def overall(verdicts: Iterable[Verdict]) -> Verdict:
    """Join the verdicts of all masks: one failure fails, one doubt leaves the rest undecided.

    Parameters
    ----------
    verdicts : iterable of Verdict
        One a mask, in any order.

    Returns
    -------
    Verdict; ``NOT_JUDGED`` where there is no mask.
    """
    seen = set(verdicts)
    if not seen:
        return Verdict.NOT_JUDGED
    if Verdict.DOES_NOT_CONFORM in seen:
        return Verdict.DOES_NOT_CONFORM
    if Verdict.NOT_DECIDED in seen:
        return Verdict.NOT_DECIDED
    return Verdict.CONFORMS
