"""Whether a take was disturbed so that it is made again, and how the record says so."""

from collections.abc import Sequence

from app.measure.derived import Derived
from app.records.take import Take
from dsp.conformity.verdict import Verdict

_AGAIN, _TOO = "made again", "this one was disturbed, too"
_SPOILS = frozenset({Verdict.DOES_NOT_CONFORM, Verdict.NOT_DECIDED})


def spoilt(take: Take, *, derived: Derived) -> bool:
    """Tell whether something else than the unit may have decided a take.

    A disturbed take that conforms all the same stands: what was disturbed was left out of it. One
    that clipped, or lost a channel, would do so again.
    """
    reading = derived.defects
    if derived.untrusted or reading is None:
        return False
    return bool(reading.disturbed) and take.verdict in _SPOILS


def told(count: int, *, still: bool) -> str:
    """Say how often a take was made again.

    Parameters
    ----------
    count : int
        From 1.
    still : bool
        Whether the last one was disturbed, too.
    """
    times = {1: "once", 2: "twice"}.get(count, f"{count} times")
    end = f"; {_TOO}" if still else ""
    return f"{_AGAIN} {times}, because what was heard besides the unit disturbed it{end}"


def times_made(warnings: Sequence[str]) -> str:
    """Return how often a take was made again, as its warnings have it: ``once``; empty: not."""
    for sentence in warnings:
        if sentence.startswith(_AGAIN):
            return sentence.removeprefix(_AGAIN).split(",")[0].strip()
    return ""


def is_disturbed_still(warnings: Sequence[str]) -> bool:
    """Tell whether even the last of the takes that were made again was disturbed."""
    return any(one.startswith(_AGAIN) and one.endswith(_TOO) for one in warnings)
