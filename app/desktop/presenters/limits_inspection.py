"""The unit drawn last, or several selected ones, and what inspection found of them so far."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.measure.trial import Trial


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspected:
    """Serials, and the words of the section that asks for their mark."""

    serials: tuple[str, ...]
    title: str
    fact: str


def inspected(
    trial: Trial | None, *, drawn: Sequence[int], selected: Sequence[int] = ()
) -> Inspected | None:
    """Return what a mark would be of: several selected units, else the one drawn last, or None."""
    if trial is None or not (drawn or selected):
        return None
    if selected:
        units = [trial.units[unit] for unit in selected]
        marked = sum(unit.mark is not None for unit in units)
        return Inspected(
            serials=tuple(unit.serial for unit in units),
            title=f"Inspection of {len(units)} units",
            fact=f"{marked} inspected" if marked else "not inspected",
        )
    unit = trial.units[drawn[-1]]
    return Inspected(
        serials=(unit.serial,),
        title=f"Inspection of {trial.names[drawn[-1]]}",
        fact=unit.mark or "not inspected",
    )
