"""The eight marks by which every state is told: a shape and a word, and only then a colour."""

from enum import Enum
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # the window paints before numpy is there
    from dsp.conformity.verdict import Verdict

_NOT_JUDGED = "not judged"  # Verdict.NOT_JUDGED


class Mark(Enum):
    """What a glyph says; the values are the words that stand beside it where none is given."""

    GOOD = "conforms"  # filled circle with a check: conforms, proved, accepted
    BAD = "does not conform"  # filled square with a cross: also refused, lost
    UNDECIDED = "not decided"  # yellow diamond with a bar: also a draft
    STALE = "stale"  # yellow circle with a clock's hand
    CAUTION = "caution"  # yellow triangle
    NONE = "none"  # dotted ring: not proved, not wired, not judged, not there
    BUSY = "playing"  # three quarters of a ring: playing, settling, deriving
    INFO = "information"  # open circle with an i


def mark_of(verdict: "Verdict") -> Mark:
    """Return the mark of a verdict."""
    return Mark.NONE if verdict.value == _NOT_JUDGED else Mark(verdict.value)
