"""What an empty plot of the Limits bay says: what will stand there, and what to do for it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Hints:
    """Words in the plot of the units, and in that of their margins; empty where all is there."""

    units: str = ""
    margins: str = ""


_A_DOT = "A dot for each unit, by its margin."


def limits_hints(procedure: str, *, has_mask: bool, has_units: bool) -> Hints:
    """Return the hints for a procedure on the bench, once its units were read."""
    if has_mask and has_units:
        return Hints()
    if has_mask:
        return Hints(
            units=f"Units measured with {procedure} will stand here with their spread.",
            margins=_A_DOT,
        )
    if has_units:
        return Hints(
            units="No mask, so nothing is judged. N makes one from the stored units.",
            margins="A dot for each unit, by its margin to the mask.",
        )
    return Hints(
        units=f"No mask and no unit of {procedure} yet. Measure one (Ctrl 2), then press N here.",
        margins=_A_DOT,
    )
