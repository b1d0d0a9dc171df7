"""One unit of a trial as a row of a table."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.records.decisions import Mark
from dsp.conformity.verdict import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialRow:
    """How a unit does by the limits in force and by a draft.

    Attributes
    ----------
    serial, lot : str
        The unit; empty where it has no lot.
    take : int
        Running number of its take.
    found : "good", "bad" or None
        By inspection.
    now, draft : Verdict
        By the limits in force, by the draft.
    margins : mapping of mask to float
        By the draft, in the unit of the mask's quantity; NaN where not known.
    """

    serial: str
    lot: str
    take: int
    found: Mark | None
    now: Verdict
    draft: Verdict
    margins: Mapping[str, float]
