"""The unit drawn last, and what inspection found of it so far."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.measure.trial import Trial


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspected:
    """A unit's serial, and the words of the section that asks for its mark."""

    serial: str
    title: str
    fact: str


def inspected(trial: Trial | None, *, drawn: Sequence[int]) -> Inspected | None:
    """Return the unit that a mark would be of; None where no unit is drawn."""
    if trial is None or not drawn:
        return None
    unit = trial.units[drawn[-1]]
    return Inspected(
        serial=unit.serial,
        title=f"Inspection of {trial.names[drawn[-1]]}",
        fact=unit.mark or "not inspected",
    )
