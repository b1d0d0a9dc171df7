"""What a cause does to a unit: which figures it moves, and what is then heard."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from dsp.errors import DspError

# What is stated as never still comes once in a million: evidence must stay weighable.
LEAST, MOST = 1e-6, 1 - 1e-6


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Signature:
    """One way in which a cause shows; a cause may have several.

    Attributes
    ----------
    name : str
        Of this way; signatures are told apart by it.
    cause : str
        What a person is told.
    weight : float
        How often it comes, relative to the others; above 0.
    severity : tuple of two floats
        Least and largest, in the unit in which ``shifts`` count; 0 < least <= largest.
    shifts : mapping of str to float
        By how much each trait moves for one unit of severity; those left out do not move.
    tolerance : float
        Standard deviation of every shift, as a part of it.
    scatter : float
        Standard deviation by which all traits may lie anywhere, in spreads; 0: as shifts say.
    astray : float
        Probability of each trait to lie anywhere for a reason of its own: one odd figure must not
        overrule all others.
    alone : bool
        Whether it excludes that a second cause is true as well.
    signs : mapping of str to float
        Probability of each sign; those left out say nothing about this cause.
    """

    name: str
    cause: str
    weight: float = 1.0
    severity: tuple[float, float] = (1.0, 100.0)
    shifts: Mapping[str, float] = field(default_factory=dict)
    tolerance: float = 0.2
    scatter: float = 0.0
    astray: float = 0.001
    alone: bool = False
    signs: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        low, high = self.severity
        if not 0 < low <= high:
            raise DspError(
                "Signature", f"severity of {self.name}", given=self.severity, allowed="0 < a <= b"
            )
        if not self.weight > 0:
            raise DspError(
                "Signature", f"weight of {self.name}", given=self.weight, allowed="above 0"
            )
        if not 0 < self.astray < 1:
            raise DspError(
                "Signature", f"astray of {self.name}", given=self.astray, allowed="above 0, below 1"
            )
        if wrong := {name: p for name, p in self.signs.items() if not 0 <= p <= 1}:
            raise DspError("Signature", f"signs of {self.name}", given=wrong, allowed="0 to 1")
