"""A second take of the same unit, which gives parameters their scale."""

from dataclasses import dataclass

from dsp.parameters.fit import LumpedFit

ADDED_MASS, CLOSED_BOX = "added mass", "closed box"  # what it gives, as ``Take.rests_on`` says it


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Second:
    """The unit with a mass on its cone, or in a closed box.

    Attributes
    ----------
    take_id : str
        Whose; as the procedure writes it where there is no such take.
    fit : LumpedFit or None
        Its model; None where it cannot be had.
    refusal : str
        Why not; empty where it can.
    """

    take_id: str
    fit: LumpedFit | None = None
    refusal: str = ""
